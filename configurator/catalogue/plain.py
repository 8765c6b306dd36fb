"""Rows as plain values, the same whether they come from a file, a form or the tables.

A plain row is a dict by field name that JSON can hold: relations as codes, decimals as short text, lists of a
relation in alphabetical order, days as 2027-01-01. Two plain rows are equal exactly when the catalogue says
the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Model, Q, QuerySet

from .files import kinds
from .kinds import Kind
from .models_parts import Part
from .rows import Row
from .stored import as_row, light, many_of

Plain = dict[str, Any]
TYPED = ("wheel", "tyre", "spacer", "fastener", "centringring")


def kind_of(name: str) -> Kind:
    """Return the kind of that name; raise KeyError when there is none."""
    found = {kind.name: kind for kind in kinds()}
    return found[name]


def table_of(kind: Kind) -> type[Model]:
    """Return the table that a kind's rows are read from: the typed part's, not its item's."""
    return kind.schema.tables[-1]


def plain(row: Row | Any) -> Plain:
    """Return a judged row as plain values."""
    return {name: _value(type(row), name, getattr(row, name)) for name in type(row).model_fields}


def of_stored(kind: Kind, stored: Any) -> Plain:
    """Return a row of a table as plain values."""
    row = as_row(kind.schema, stored)
    return {name: _value(kind.schema, name, getattr(row, name)) for name in kind.schema.model_fields}


def _value(schema: type[Row], name: str, value: Any) -> Any:
    if name in schema.many:
        return sorted(value)
    if name == "material" and name in schema.nested:
        return sorted((_plain_inner(one) for one in value), key=lambda one: (one["item"], one["basis"]))
    if name in schema.nested:
        return [_plain_inner(one) for one in value]
    if isinstance(value, list | tuple):
        return [list(one) if isinstance(one, tuple) else one for one in value]
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return value.isoformat() if isinstance(value, date) else value


def _plain_inner(row: Any) -> Plain:
    """Return a row within a row, such as a recipe's operation."""
    if isinstance(row, Row):
        names = list(type(row).model_fields)
    else:
        names = [name for name in vars(row) if name not in _ADDED]
    found = {name: _value(Row, name, getattr(row, name)) for name in names}
    if "quantity" in found:
        found["quantity"] = f"{Decimal(found['quantity']).normalize():f}"
    return found


_ADDED = ("refs", "many", "lists", "nested", "key")


def key_of(kind: Kind, row: Plain) -> str:
    """Return what names a plain row within its kind."""
    return "/".join(str(row[name]) for name in kind.schema.key_fields)


def name_of(row: Plain | None) -> str:
    """Return what people call a row, or nothing where it has only its key."""
    return str((row or {}).get("name") or (row or {}).get("reason") or "")[:160]


def query(kind: Kind) -> QuerySet[Any, Any]:
    """Return the rows of a kind's table with their relations; of items only those without a type."""
    table = table_of(kind)
    one = [field.name for field in table._meta.fields if field.is_relation]
    one += ["item__supplier"] if issubclass(table, Part) else []
    several: list[Any] = [f"{name}s" for name in kind.schema.nested if hasattr(table, f"{name}s")]
    several += ["materials__item"] if "materials" in several else []
    found = light(table).select_related(*one).prefetch_related(*several, *many_of(kind.schema, table))
    return found.filter(**dict.fromkeys(TYPED)) if kind.name == "items" else found


def matching(kind: Kind, key: str) -> Q:
    """Return the condition that finds the row of that key."""
    table, parts = table_of(kind), key.split("/")
    found = Q()
    for name, value in zip(kind.schema.key_fields, parts, strict=False):
        if name == "code" and issubclass(table, Part):
            name = "item__code"
        elif name in kind.schema.refs:
            name = f"{name}__code"
        elif not value.isdigit() and name == "position" and kind.name == "paint_layers":
            return Q(pk__in=())
        found &= Q(**{name: value})
    return found if len(parts) == max(len(kind.schema.key_fields), 1) else Q(pk__in=())


def live_row(kind: Kind, key: str) -> Plain | None:
    """Return the live row of that key, or None."""
    stored = query(kind).filter(matching(kind, key)).first()
    return None if stored is None else of_stored(kind, stored)


def live_rows(kind: Kind) -> Iterator[tuple[str, Plain]]:
    """Yield every live row of a kind with its key, in the table's order."""
    for stored in query(kind).iterator(chunk_size=2000):
        row = of_stored(kind, stored)
        yield key_of(kind, row), row


def own_kinds() -> tuple[Kind, ...]:
    """Return the kinds whose rows lie in the catalogue's own tables."""
    return tuple(kind for kind in kinds() if kind.schema.tables)


def everything() -> dict[str, dict[str, Plain]]:
    """Return every live row by kind and key."""
    return {kind.name: dict(live_rows(kind)) for kind in own_kinds()}


def differing(before: Plain | None, after: Plain | None) -> tuple[Plain | None, Plain | None]:
    """Return both sides with only what differs; a whole side where the other is not there."""
    if before is None or after is None:
        return before, after
    names = [name for name in after if before.get(name) != after[name]]
    return {name: before.get(name) for name in names}, {name: after[name] for name in names}
