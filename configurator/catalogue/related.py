"""The rows that belong to a row of the snapshot, gathered once: asking anew costs a query object."""

from __future__ import annotations

from typing import Any

from django.db.models import Model

_KEPT = "_related_rows"


def rows_of(owner: Model, relation: str) -> tuple[Any, ...]:
    """Return the related rows of a row that is never changed, such as a snapshot's, in the model's order.

    They are kept on the row, and go with it. Ask a row that may change by its manager instead.
    """
    kept: dict[str, tuple[Any, ...]] = owner.__dict__.setdefault(_KEPT, {})
    if relation not in kept:
        kept[relation] = tuple(getattr(owner, relation).all())
    return kept[relation]
