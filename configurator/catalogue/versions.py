"""Catalogue versions: a new number whenever what the tables say has changed, and never otherwise."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from django.db import transaction
from django.db.models import ForeignKey, Model

from . import models as m

TABLES: tuple[type[Model], ...] = (
    m.Workshop, m.Supplier, m.Item, m.Finish, m.PaintSystem, m.PaintLayer, m.Maker, m.Generation, m.Axle,
    m.Wheel, m.Tyre, m.Spacer, m.Fastener, m.CentringRing, m.Recipe, m.Operation, m.Material, m.Family,
    m.Option, m.Rule, m.ReadyLook, m.CatalogueText,
)  # fmt: skip


def digest() -> str:
    """Return SHA-256 over every catalogue table by code, so that row numbers do not matter."""
    whole = hashlib.sha256()
    for model in TABLES:
        whole.update(model.__name__.encode())
        for row in sorted(_rows(model)):
            whole.update(row.encode())
    return whole.hexdigest()


@transaction.atomic
def bump(*, note: str = "") -> m.CatalogueVersion:
    """Make a new version when the tables differ from the newest one; return the newest."""
    newest = m.CatalogueVersion.objects.select_for_update().first()
    now = digest()
    if newest is not None and newest.digest == now:
        return newest
    number = newest.number + 1 if newest else 1
    return m.CatalogueVersion.objects.create(number=number, digest=now, note=note[:200])


def _rows(model: type[Model]) -> list[str]:
    """Return each row of a table as one line of JSON, relations by code."""
    fields = [_column(field) for field in model._meta.fields if not _is_row_number(field)]
    lines = [_line(values) for values in model._default_manager.order_by().values_list(*fields)]
    for field in model._meta.many_to_many:
        pairs = model._default_manager.order_by().filter(**{f"{field.name}__isnull": False})
        lines += [_line((field.name, *pair)) for pair in pairs.values_list("code", f"{field.name}__code")]
    return lines


def _is_row_number(field: Any) -> bool:
    """Whether the field is the automatic primary key."""
    return bool(field.primary_key) and not isinstance(field, ForeignKey)


def _column(field: Any) -> str:
    """Return the look-up that names a related row by its code."""
    if not isinstance(field, ForeignKey):
        return str(field.name)
    own_code = any(other.name == "code" for other in field.related_model._meta.fields)
    return f"{field.name}__code" if own_code else f"{field.name}__item__code"


def _line(values: tuple[Any, ...]) -> str:
    """Return one row's canonical text."""
    return json.dumps(values, default=str, sort_keys=True)
