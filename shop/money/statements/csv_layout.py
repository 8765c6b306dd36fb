"""Which column of a bank's CSV holds what, and what a person has to choose where the file does not tell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from .entries import Fault, StatementError, refuse
from .headings import guess, is_enough, plain
from .table import Table


class ChoiceNeededError(StatementError):
    """The file can be read once a person has chosen; ``choice`` is columns, day_order or decimal_mark."""

    def __init__(self, choice: str, *faults: Fault) -> None:
        self.choice = choice
        super().__init__(*faults)


@dataclass(frozen=True)
class Layout:
    """How a bank writes its CSV: headings of each field in plain words, order of days, decimal mark.

    An empty order or mark is told by the column itself.
    """

    name: str = ""
    columns: Mapping[str, Sequence[str]] = field(default_factory=dict)
    day_order: str = ""
    decimal_mark: str = ""


def columns_of(table: Table, layout: Layout | None) -> dict[str, tuple[int, ...]]:
    """Return the columns of each field by a layout, else by the heading's own words."""
    if layout is None or not layout.columns:
        return guess(table.heading)
    names = [plain(cell) for cell in table.heading]
    return {
        field: indexes
        for field, wanted in layout.columns.items()
        if (indexes := tuple(names.index(name) for name in wanted if name in names))
    }


def check_columns(table: Table, columns: dict[str, tuple[int, ...]]) -> None:
    """Raise ``StatementError`` unless each column stands once, the needed ones are there and rows follow."""
    row = _("row %(number)s") % {"number": table.heading_row}
    names = [plain(cell) for cell in table.heading]
    twice = [
        Fault(row, _("The column “%(name)s” is there twice.") % {"name": names[indexes[0]]})
        for field, indexes in columns.items()
        if field in ("date", "amount", "debit", "credit") and names.count(names[indexes[0]]) > 1
    ]
    if twice:
        raise StatementError(*twice)
    if is_enough(columns):
        if not table.rows:
            below = _("row %(number)s") % {"number": table.heading_row + 1}
            raise refuse(_("There is no row below the heading."), below)
        return
    missing = [name for name in ("date", "amount") if name not in columns]
    found = ", ".join(filter(None, table.heading))[:200]
    raise ChoiceNeededError(
        "columns",
        *(
            Fault(
                row, _("The column “%(name)s” is missing. Found: %(found)s.") % {"name": name, "found": found}
            )
            for name in missing
        ),
    )
