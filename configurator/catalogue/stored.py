"""The tables in the shape in which files are judged, so that forms are judged by the very same checks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from types import SimpleNamespace
from typing import Any, get_args

from django.db.models import Model, Prefetch, QuerySet

from .files import kinds
from .known import Blame, Known, references
from .models_items import Item
from .models_parts import Part
from .models_vehicles import Generation
from .rows import Row

_NOT_THERE: Any = object()


def as_row(schema: type[Row], stored: Any) -> Any:
    """Return a stored object, or a form's values, with the fields of a file's row: relations as codes.

    Rows that the row holds (a recipe's operations) come from the relation of the same name in the plural.
    """
    names = schema.model_fields
    found = {name: _value(schema, name, _of(stored, name)) for name in names}
    if "code" in names:
        found["code"] = _of(stored, "code") or ""
    row = SimpleNamespace(**found)
    row.refs, row.many, row.lists, row.nested = schema.refs, schema.many, schema.lists, schema.nested
    row.key = lambda: "/".join(str(getattr(row, name)) for name in schema.key_fields)
    return row


def _of(stored: Any, name: str) -> Any:
    if isinstance(stored, dict):
        return stored.get(name)
    found = getattr(stored, name, _NOT_THERE)
    if found is _NOT_THERE and isinstance(stored, Part):
        stored = stored.item
        found = getattr(stored, name, _NOT_THERE)
    return getattr(stored, f"{name}s", None) if found is _NOT_THERE else found


def _value(schema: type[Row], name: str, value: Any) -> Any:
    if name in schema.refs:
        return getattr(value, "code", value) or None
    if name in schema.many:
        return [one.code for one in _each(value)]
    if name in schema.nested:
        inner = get_args(schema.model_fields[name].annotation)[0]
        return [as_row(inner, one) for one in _each(value)]
    return value


def _each(value: Any) -> Iterable[Any]:
    return value.all() if hasattr(value, "all") else value or ()


class Stored(Known):
    """What the tables hold, read when first asked for.

    ``own`` is a row being judged, of the kind ``place``: it stands in for what the tables say of it, as it
    is not saved yet.
    """

    def __init__(self, own: Any = None, place: str = "") -> None:
        super().__init__()
        self.own, self.own_place = own, place

    def _read(self, namespace: str) -> dict[str, Any]:
        if namespace not in self.rows:
            self.rows[namespace] = {row.key(): row for row in _stored(namespace)}
            if self.own is not None and namespace == self.own_place:
                self.rows[namespace][self.own.key()] = self.own
        return self.rows[namespace]

    def get(self, namespace: str, code: str | None) -> Any:
        """Return the row of that code, or None."""
        return self._read(namespace).get(code or "")

    def all(self, namespace: str) -> Iterable[Any]:
        """Return every row of a namespace."""
        return self._read(namespace).values()

    find, some = get, all

    def numbered(self) -> Iterator[tuple[str, str, str]]:
        """Yield every good's supplier, the supplier's number for it, and its code, in one query."""
        yield from numbers_of_goods()


def numbers_of_goods() -> Iterator[tuple[str, str, str]]:
    """Yield supplier, the supplier's number and code of everything in the table of items."""
    yield from Item.objects.values_list("supplier__code", "supplier_ref", "code").order_by().iterator()


def _stored(namespace: str) -> Iterator[Any]:
    """Yield what the table of a kind holds, its relations fetched at once."""
    schema = next(kind.schema for kind in kinds() if kind.name == namespace)
    table = schema.tables[-1]
    one = [field.name for field in table._meta.fields if field.is_relation]
    nested = (f"{name}s" for name in schema.nested if hasattr(table, f"{name}s"))
    for row in light(table).select_related(*one).prefetch_related(*nested, *many_of(schema, table)):
        yield as_row(schema, row)


def light(table: Any) -> QuerySet[Any, Any]:
    """Return a table's rows without the drawings, its own or its vehicle's: no row of a file holds them."""
    rows: QuerySet[Any, Any] = table._default_manager.all()
    if table is Generation:
        return rows.defer("body")
    with_vehicle = any(field.related_model is Generation for field in table._meta.fields)
    return rows.select_related("generation").defer("generation__body") if with_vehicle else rows


def many_of(schema: type[Row], table: Any) -> list[Prefetch[Any]]:
    """Return how the relations that a row lists by code are read along with it."""
    return [Prefetch(name, light(table._meta.get_field(name).related_model)) for name in schema.many]


def problems(schema: type[Row], row: Any) -> Iterator[Blame]:
    """Yield what the files' own checks find wrong with a row beside what the tables hold."""
    kind = next((kind for kind in kinds() if kind.schema is schema), None)
    known = Stored(row, kind.name if kind else "")
    missing = list(references(row, known))
    yield from missing
    if kind and not missing:
        yield from kind.check(row, known)


def problems_of(saved: Model) -> Iterator[str]:
    """Yield what is wrong with a saved row, with what belongs to it, and with the tables as a whole."""
    known = Stored()
    for kind in kinds():
        if type(saved) in kind.schema.tables[-1:]:
            yield from (message for _, message in problems(kind.schema, as_row(kind.schema, saved)))
        if kind.schema.tables:
            yield from (message for _, _, message in kind.check_all(known))
