"""Lists of catalogue rows: searched, filtered, sorted and paged by the database, the draft laid over them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Paginator
from django.db.models import Q, QuerySet

from configurator.catalogue import drafts, field_words, words
from configurator.catalogue.describing import Column, columns
from configurator.catalogue.kinds import Kind
from configurator.catalogue.models_changes import Draft, DraftRow
from configurator.catalogue.models_parts import Part
from configurator.catalogue.plain import Plain, key_of, of_stored, query, table_of
from configurator.catalogue.rows import ItemRow

from .choosing import options_of, said_of

PAGE = 50
Rows = QuerySet[Any, Any]
GOODS = ("items", "wheels", "tyres", "spacers", "fasteners", "centring_rings")
LISTED: dict[str, tuple[str, ...]] = {
    "wheels": ("maker", "design", "finish", "width_in", "diameter_in", "offset_mm", "bolt_circle_mm"),
    "tyres": ("maker", "designation", "vehicle_class"),
    "spacers": ("thickness_mm", "kind", "bolt_circle_mm", "bore_mm"),
    "fasteners": ("kind", "thread", "shank_mm", "seat", "finish", "locking"),
    "centring_rings": ("outer_mm", "inner_mm"),
    "items": ("unit", "pack_size"),
    "finishes": ("role", "sheen", "paint_code", "hex"),
    "options": ("family", "kind", "item", "recipe", "paint_system"),
    "recipes": ("covers",),
    "rules": ("kind", "if_all", "then_any", "active"),
    "suppliers": ("town", "lead_time_days", "email"),
    "paint_systems": ("surface", "max_temperature_c"),
    "paint_layers": ("stage", "item", "dry_film_um"),
    "families": ("kind", "section", "position"),
    "makers": (),
    "generations": ("maker", "body_style", "year_from", "category"),
    "axles": ("bolt_circle_mm", "axle_load_kg", "original_tyre"),
}
FILTERS: dict[str, tuple[str, ...]] = {
    "wheels": ("supplier", "finish", "design", "vehicle_class", "diameter_in", "bolt_circle_mm"),
    "tyres": ("supplier", "maker", "vehicle_class"),
    "spacers": ("supplier", "kind", "thickness_mm", "bolt_circle_mm"),
    "fasteners": ("supplier", "kind", "locking", "thread", "finish"),
    "centring_rings": ("supplier",),
    "items": ("supplier", "unit"),
    "finishes": ("role", "sheen"),
    "options": ("family", "kind", "paint_system"),
    "recipes": ("covers",),
    "rules": ("kind",),
    "paint_layers": ("system", "stage"),
    "families": ("section", "kind"),
    "generations": ("maker", "body_style"),
    "axles": ("generation",),
}
SEARCHED = ("name", "code", "supplier_ref", "designation", "reason", "summary", "paint_code", "town")
KINDS = tuple(name for name in words.HEADING if name in LISTED)


@dataclass(frozen=True)
class Line:
    """One row of a list as the draft has it: its key, what it says, and how far the draft changes it."""

    key: str
    row: Plain
    cells: tuple[Any, ...]
    mark: str
    drafted: str = ""

    @property
    def is_retired(self) -> bool:
        """Whether it is offered no longer."""
        return bool(self.row.get("retired")) or self.row.get("active") is False


@dataclass(frozen=True)
class Wanted:
    """What was asked for, cleaned: words, filters, whether retired ones, and the order."""

    q: str = ""
    filters: Mapping[str, str] = ()  # type: ignore[assignment]
    state: str = "offered"
    sort: str = ""


def wanted(kind: Kind, data: Any) -> Wanted:
    """Return what an address asks for; what it cannot ask for is left out."""
    filters = {name: data[name] for name in FILTERS.get(kind.name, ()) if data.get(name)}
    sort = data.get("sort", "")
    sort = sort if sort.removeprefix("-") in headings(kind) else ""
    state = data.get("state") if data.get("state") in ("retired", "all") else "offered"
    return Wanted(str(data.get("q", "")).replace("\x00", "").strip()[:100], filters, state, sort)


def headings(kind: Kind) -> tuple[str, ...]:
    """Return the columns of a kind's list, the name first and the price last."""
    own = {column.name for column in columns(kind.schema)}
    first = ("name",) if "name" in own else kind.schema.key_fields if kind.name != "rules" else ("reason",)
    last = ("unit_cost", "unit_price") if "unit_price" in own else ()
    return (*first, *LISTED[kind.name], *last)


def path(kind: Kind, name: str) -> str:
    """Return the look-up of a field from the kind's table: a part's goods lie on its item."""
    on_item = issubclass(table_of(kind), Part) and name in ItemRow.model_fields
    return f"item__{name}" if on_item else name


def found(kind: Kind, asked: Wanted) -> QuerySet[Any, Any]:
    """Return the live rows that were asked for, in order."""
    rows = query(kind)
    own = {column.name: column for column in columns(kind.schema)}
    for word in asked.q.split():
        rows = rows.filter(_holds(kind, own, word))
    for name, value in dict(asked.filters).items():
        rows = rows.filter(_equals(kind, own[name], value))
    rows = _in_state(kind, own, rows, asked.state)
    if asked.sort:
        down, name = ("-" if asked.sort.startswith("-") else ""), asked.sort.removeprefix("-")
        column = own[name]
        look_up = f"{path(kind, name)}__name" if column.refers and not column.is_list else path(kind, name)
        rows = rows.order_by(f"{down}{look_up}", "pk")
    return rows


def _holds(kind: Kind, own: Mapping[str, Column], word: str) -> Q:
    """Return the condition that a word stands in a row, or in the name of what it belongs to."""
    hit = Q()
    for name in SEARCHED:
        if name in own:
            hit |= Q(**{f"{path(kind, name)}__icontains": word})
    for name in kind.schema.key_fields:
        if name in kind.schema.refs:
            hit |= Q(**{f"{name}__code__icontains": word}) | Q(**{f"{name}__name__icontains": word})
    return hit


def _in_state(kind: Kind, own: Mapping[str, Column], rows: Rows, state: str) -> Rows:
    """Return the rows that are offered, or those that are retired, or all."""
    gone = Q(**{path(kind, "retired"): True}) if "retired" in own else None
    gone = Q(active=False) if "active" in own else gone
    if state == "all":
        return rows
    if gone is None:
        return rows.none() if state == "retired" else rows
    return rows.filter(gone) if state == "retired" else rows.exclude(gone)


def _equals(kind: Kind, column: Column, value: str) -> Q:
    name = f"{path(kind, column.name)}__code" if column.refers else path(kind, column.name)
    if column.base is bool:
        return Q(**{name: value == "yes"})
    try:
        return Q(**{name: column.base(value)})
    except (ValueError, ArithmeticError):
        return Q(pk__in=())


def page_of(kind: Kind, asked: Wanted, number: Any, draft: Draft | None) -> tuple[Any, list[Line]]:
    """Return a page of a list and its lines, with what is only in the draft on the first."""
    page = Paginator(found(kind, asked), PAGE).get_page(number)
    drafted = {row.key: row for row in draft.rows.filter(kind=kind.name)} if draft else {}
    names = Names(kind)
    lines = []
    for stored in page.object_list:
        row = of_stored(kind, stored)
        lines.append(line(kind, row, drafted.get(key_of(kind, row)), names))
    if page.number == 1:
        new = [row for row in drafted.values() if row.base is None and row.data is not None]
        lines = [line(kind, None, row, names) for row in new] + lines
    return page, lines


def line(kind: Kind, live: Plain | None, drafted: DraftRow | None, names: Names) -> Line:
    """Return a line of a list: the live row with the draft's over it."""
    seen = drafts.laid_over(drafted, live) if drafted else drafts.Seen(live, live, None)
    shown = seen.now or live or {}
    state = "" if drafted is None else "new" if live is None else "changed"
    cells = [names.cell(name, shown.get(name)) for name in headings(kind)]
    if live is not None and shown.get(headings(kind)[0]) == live.get(headings(kind)[0]):
        cells[0] = names.said.get(str(shown.get("code")), cells[0])
    return Line(key_of(kind, shown), shown, tuple(cells), seen.mark, state)


class Names:
    """What codes are called, asked for once a list."""

    def __init__(self, kind: Kind) -> None:
        self.kind = kind
        self.columns = {column.name: column for column in columns(kind.schema)}
        self.known: dict[str, dict[str, str]] = {}
        first = headings(kind)[0]
        self.said = said_of(kind.place, first) if first in ("name", "reason") else {}

    def cell(self, name: str, value: Any) -> Any:
        """Return a value as a list shows it."""
        column = self.columns[name]
        if value is None or value == "":
            return ""
        if name in ("unit_cost", "unit_price"):
            return Money(value)
        if column.refers and not column.is_list:
            return self._names(column).get(value, value)
        if column.choices:
            return words.choice(value)
        return value

    def _names(self, column: Column) -> dict[str, str]:
        if column.refers not in self.known:
            self.known[column.refers] = dict(options_of(self.kind.name, column) or ())
        return self.known[column.refers]


class Money(str):
    """An amount, so that a list can word it with its currency."""


def filter_choices(kind: Kind) -> list[tuple[str, str, list[tuple[str, str]]]]:
    """Return each filter of a list with its name and what there is to choose."""
    own = {column.name: column for column in columns(kind.schema)}
    return [(name, field_words.name_of(name), _there(kind, own[name])) for name in FILTERS.get(kind.name, ())]


def _there(kind: Kind, column: Column) -> list[tuple[str, str]]:
    if column.base is bool:
        return [("yes", words.yes_no(True)), ("no", words.yes_no(False))]
    choices = options_of(kind.name, column)
    if choices is not None:
        return choices
    values: Iterable[Any] = (
        table_of(kind)
        ._default_manager.order_by(path(kind, column.name))
        .values_list(path(kind, column.name), flat=True)
        .distinct()
    )
    return [
        (f"{one:g}" if isinstance(one, float) else str(one),) * 2 for one in values if one not in (None, "")
    ]
