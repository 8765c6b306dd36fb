"""Writing judged rows: bulk inserts that update what is there already, keyed by code."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.db.models import Model

from . import bodies
from . import models as m
from .rows import ItemRow, Row

ITEM_FIELDS = tuple(ItemRow.model_fields)


@dataclass
class Writer:
    """Hands a kind's write function the primary keys of rows already written.

    ``codes`` are the keys that the files hold, by namespace; ``models`` the table of each namespace.
    """

    folder: Path
    codes: dict[str, set[str]]
    models: dict[str, type[Model]]
    cache: dict[str, dict[str, Any]] = field(default_factory=dict)

    def ids(self, namespace: str) -> dict[str, Any]:
        """Return code to primary key for a namespace, read once after that namespace was written."""
        if namespace not in self.cache:
            manager = self.models[namespace]._default_manager
            pairs: Iterable[tuple[str, Any]] = manager.values_list("code", "pk")
            self.cache[namespace] = dict(pairs)
        return self.cache[namespace]


def table(model: type[Model], unique: Sequence[str] = ("code",)) -> Callable[[Writer, list[Any]], None]:
    """Return a function that writes rows whose fields are the model's own."""

    def write(writer: Writer, rows: list[Any]) -> None:
        upsert(model, [values(writer, row) for row in rows], unique)
        for row_field in rows[0].many if rows else ():
            if any(field.name == row_field for field in model._meta.many_to_many):
                _link(writer, model, rows, row_field)

    return write


def parts(model: type[Model]) -> Callable[[Writer, list[Any]], None]:
    """Return a function that writes an item and the typed part that points at it, from one row."""

    def write(writer: Writer, rows: list[Any]) -> None:
        write_items(writer, rows)
        writer.cache.pop("items", None)
        items = writer.ids("items")
        lines = []
        for row in rows:
            line = {name: value for name, value in values(writer, row).items() if _is_part_field(name)}
            lines.append({"item_id": items[row.code], **line})
        upsert(model, lines, ("item",))
        _drop_retyped(writer, model, {row.code for row in rows})

    return write


def write_items(writer: Writer, rows: list[Any]) -> None:
    """Write the item columns of any rows that have them."""
    lines = [values(writer, row) for row in rows]
    upsert(m.Item, [{k: v for k, v in line.items() if not _is_part_field(k)} for line in lines], ("code",))


def values(writer: Writer, row: Row) -> dict[str, Any]:
    """Return a row's values as the model takes them: references as keys, nested rows left out."""
    line: dict[str, Any] = {}
    for name in type(row).model_fields:
        value = getattr(row, name)
        if name in row.refs:
            line[f"{name}_id"] = writer.ids(row.refs[name])[value] if value else None
        elif name not in row.many and name not in row.nested:
            line[name] = value
    return line


def upsert(model: type[Model], lines: list[dict[str, Any]], unique: Sequence[str]) -> None:
    """Insert the lines, or update the rows that have the same ``unique`` fields."""
    if not lines:
        return
    plain = [name.removesuffix("_id") for name in lines[0]]
    model._default_manager.bulk_create(
        [model(**line) for line in lines],
        batch_size=500,
        update_conflicts=True,
        unique_fields=list(unique),
        update_fields=[name for name in plain if name not in unique],
    )


def write_workshop(writer: Writer, rows: list[Any]) -> None:
    """Write the one workshop."""
    for row in rows:
        m.Workshop.objects.update_or_create(pk=_workshop_key(), defaults=row.model_dump())


def write_finishes(writer: Writer, rows: list[Any]) -> None:
    """Write finishes, those that others refer to first."""
    write = table(m.Finish)
    write(writer, [row for row in rows if row.same_colour_as is None])
    writer.cache.pop("finishes", None)
    write(writer, [row for row in rows if row.same_colour_as is not None])


def write_generations(writer: Writer, rows: list[Any]) -> None:
    """Write generations, each with the shapes of its body where a file draws them."""
    table(m.Generation)(writer, rows)
    shapes, _ = bodies.read(writer.folder, {row.code for row in rows})
    stored = list(m.Generation.objects.filter(code__in=shapes))
    for one in stored:
        one.body = shapes[one.code]
    m.Generation.objects.bulk_update(stored, ["body"])


def write_layers(writer: Writer, rows: list[Any]) -> None:
    """Write paint layers and drop those that a system no longer has."""
    table(m.PaintLayer, ("system", "position"))(writer, rows)
    kept = {(row.system, row.position) for row in rows}
    stored: Iterable[tuple[int, str, int]] = m.PaintLayer.objects.values_list(
        "pk", "system__code", "position"
    )
    m.PaintLayer.objects.filter(pk__in=[pk for pk, *key in stored if tuple(key) not in kept]).delete()


def write_recipes(writer: Writer, rows: list[Any]) -> None:
    """Write recipes; their operations and materials are replaced whole."""
    table(m.Recipe)(writer, rows)
    writer.cache.pop("recipes", None)
    recipes = writer.ids("recipes")
    written = [recipes[row.code] for row in rows]
    m.Operation.objects.filter(recipe_id__in=written).delete()
    m.Material.objects.filter(recipe_id__in=written).delete()
    m.Operation.objects.bulk_create(
        m.Operation(recipe_id=recipes[row.code], position=number, **values(writer, step))
        for row in rows
        for number, step in enumerate(row.operation, 1)
    )
    m.Material.objects.bulk_create(
        m.Material(recipe_id=recipes[row.code], **values(writer, material))
        for row in rows
        for material in row.material
    )


def write_rules(writer: Writer, rows: list[Any]) -> None:
    """Write rules; what they bring stays plain data."""
    lines = []
    for row in rows:
        brought = [line.model_dump(mode="json") for line in row.brings]
        lines.append({**values(writer, row), "brings": brought})
    upsert(m.Rule, lines, ("code",))
    _link(writer, m.Rule, rows, "generations")


def _link(writer: Writer, model: type[Model], rows: list[Any], name: str) -> None:
    """Make a many-to-many relation say exactly what the rows say."""
    own: dict[str, Any] = dict(model._default_manager.values_list("code", "pk"))
    relation = model._meta.get_field(name)
    through = relation.remote_field.through  # type: ignore[union-attr]
    source, target = relation.m2m_column_name(), relation.m2m_reverse_name()  # type: ignore[union-attr]
    through.objects.filter(**{f"{source}__in": [own[row.code] for row in rows]}).delete()
    through.objects.bulk_create(
        through(**{source: own[row.code], target: writer.ids(row.many[name])[code]})
        for row in rows
        for code in dict.fromkeys(getattr(row, name))
    )


def _is_part_field(name: str) -> bool:
    """Whether a column belongs to the typed part and not to its item."""
    return name.removesuffix("_id") not in ITEM_FIELDS


def _drop_retyped(writer: Writer, model: type[Model], own: set[str]) -> None:
    """Delete the typed row of an item that another file now describes: a wheel that became a tyre."""
    stored: Iterable[tuple[Any, str]] = model._default_manager.values_list("pk", "item__code")
    elsewhere = writer.codes.get("items", set()) - own
    model._default_manager.filter(pk__in=[pk for pk, code in stored if code in elsewhere]).delete()


def _workshop_key() -> int:
    """Return the key of the one workshop there is, or 1."""
    return m.Workshop.objects.values_list("pk", flat=True).first() or 1
