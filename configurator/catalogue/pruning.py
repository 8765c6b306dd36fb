"""Rows that the files no longer hold: found, and removed only when nothing uses them."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import models, transaction


def gone_rows(model: type[models.Model], kept: set[str]) -> list[models.Model]:
    """Return the rows of a table whose code is not among ``kept``."""
    stored: Iterable[str] = model._default_manager.order_by("code").values_list("code", flat=True)
    gone = [code for code in stored if code not in kept]
    return list(model._default_manager.filter(code__in=gone)) if gone else []


def remove(row: models.Model) -> str:
    """Delete a row unless something still points at it; return what happened, in words."""
    try:
        with transaction.atomic():
            row.delete()
    except (models.ProtectedError, models.RestrictedError) as error:
        objects: Iterable[models.Model] = (
            error.protected_objects if isinstance(error, models.ProtectedError) else error.restricted_objects
        )
        users = sorted({f"{other._meta.verbose_name} ‘{other}’" for other in objects})
        return "kept, still used by " + ", ".join(users[:3])
    return "removed"
