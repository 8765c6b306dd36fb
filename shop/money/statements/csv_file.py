"""Bank statements as CSV: columns of our own, or those of a bank, which a person names once.

The first row that names day and amount is the heading; what stands above it is passed over. Columns may
be in any order; commas, semicolons, tabs or bars part them; decimals have a point or a comma.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from django.utils.translation import gettext as _

from .cells import CREDIT, DEBIT, day_order, decimal_mark, parse_amount, parse_day
from .csv_layout import ChoiceNeededError, Layout, check_columns, columns_of
from .entries import BankEntry, Fault, Statement, StatementError
from .headings import FIELDS, plain, signature
from .table import Row, Table, open_table

MAX_FAULTS = 50
_T = TypeVar("_T")


def read_csv(data: bytes, *, currency: str, layout: Layout | None = None) -> list[Statement]:
    """Return what a CSV file tells of each account; ``currency`` stands where the file names none.

    Raises ``ChoiceNeededError`` where the heading does not tell enough, else ``StatementError`` with every
    fault by row and column; rows are numbered as in a spreadsheet.
    """
    table = open_table(data)
    reader = _Reader.over(table, layout or Layout(), currency)
    found: dict[str, list[BankEntry]] = {}
    passed_over = []
    for number, row in table.rows:
        if reader.is_no_movement(row):
            passed_over.append(f"{number}: {' '.join(filter(None, row))}"[:120])
            continue
        account = re.sub(r"\s", "", reader.cell(row, "account")).upper() or table.account
        entry = reader.entry(number, row)
        if entry:
            found.setdefault(account, []).append(entry)
    if reader.faults:
        raise StatementError(*reader.faults[:MAX_FAULTS])
    told = _format(table, layout)
    over = tuple(passed_over)
    return [Statement(told, account, tuple(entries), 0, over) for account, entries in found.items()] or [
        Statement(told, table.account, (), 0, over)
    ]


def _format(table: Table, layout: Layout | None) -> str:
    if layout and layout.name:
        return f"CSV {layout.name}"[:40]
    ours = {plain(name) for name in FIELDS}
    if {plain(cell) for cell in table.heading} <= ours:
        return "CSV"
    return f"CSV {signature(table.heading)[:8]}"


@dataclass
class _Reader:
    """Reads the rows of one table and gathers what is wrong."""

    columns: dict[str, tuple[int, ...]]
    order: str
    mark: str
    currency: str
    faults: list[Fault]

    @classmethod
    def over(cls, table: Table, layout: Layout, currency: str) -> _Reader:
        columns = columns_of(table, layout)
        check_columns(table, columns)
        reader = cls(columns, "", "", currency, [])
        rows = [(number, row) for number, row in table.rows if not reader.is_no_movement(row)]
        reader.order = layout.day_order or _order(reader.all_of(rows, "date"))
        amounts = ("amount", "debit", "credit")
        reader.mark = layout.decimal_mark or decimal_mark(
            cell for name in amounts for cell in reader.all_of(rows, name)
        )
        return reader

    def cell(self, row: Sequence[str], name: str) -> str:
        """Return what the field's columns hold, several of them line by line."""
        cells = (row[index].strip() for index in self.columns.get(name, ()) if index < len(row))
        return "\n".join(filter(None, cells))

    def all_of(self, rows: Sequence[Row], name: str) -> list[tuple[int, str]]:
        return [(number, cell) for number, row in rows if (cell := self.cell(row, name))]

    def is_no_movement(self, row: Sequence[str]) -> bool:
        """Whether the row has neither day nor amount, such as a closing line with the balance."""
        return not any(self.cell(row, name) for name in ("date", "amount", "debit", "credit")) or (
            # A line of text beneath the table fills but the first cells and has no day.
            not any(self.cell(row, name) for name in ("amount", "debit", "credit"))
            and not _is_day(self.cell(row, "date"), self.order)
        )

    def entry(self, number: int, row: Sequence[str]) -> BankEntry | None:
        booked_on = self._read(number, row, "date", lambda cell: parse_day(cell, self.order))
        amount = self._amount(number, row)
        currency = self._currency(number, row)
        if booked_on is None or amount is None:
            return None
        name = self.cell(row, "name") or self.cell(row, "payer" if amount > 0 else "payee")
        return BankEntry(
            booked_on=booked_on,
            amount=amount,
            currency=currency,
            other_name=" ".join(name.split())[:140],
            other_iban=re.sub(r"\s", "", self.cell(row, "iban")).upper()[:34],
            reference=self.cell(row, "reference")[:35],
            text=self.cell(row, "text")[:2000],
            bank_reference=self.cell(row, "bank_reference")[:80],
        )

    def _read(self, number: int, row: Sequence[str], name: str, parse: Callable[[str], _T]) -> _T | None:
        cell = self.cell(row, name)
        try:
            return parse(cell)
        except ValueError as error:
            said = f"“{cell[:40]}” {error}." if cell else _("Nothing is there.")
            self._fault(number, name, said)
            return None

    def _fault(self, number: int, name: str, said: str) -> None:
        self.faults.append(
            Fault(_("row %(number)s, column %(name)s") % {"number": number, "name": name}, said)
        )

    def _amount(self, number: int, row: Sequence[str]) -> Decimal | None:
        if "amount" not in self.columns:
            return self._from_two(number, row)
        amount = self._read(number, row, "amount", lambda cell: parse_amount(cell, self.mark))
        if amount is None or "side" not in self.columns:
            return amount
        side = self.cell(row, "side").casefold()
        if side in DEBIT:
            return -abs(amount)
        if side in CREDIT:
            return abs(amount)
        self._fault(number, "side", _("“%(side)s” tells neither in nor out.") % {"side": side[:20]})
        return None

    def _from_two(self, number: int, row: Sequence[str]) -> Decimal | None:
        """Return what stands in one of the columns for money out and money in."""
        told: dict[str, Decimal] = {}
        for name in ("debit", "credit"):
            if not self.cell(row, name):
                continue
            amount = self._read(number, row, name, lambda cell: parse_amount(cell, self.mark))
            if amount is None:
                return None
            if amount:
                told[name] = abs(amount)
        if len(told) == 2:
            self._fault(number, "credit", _("Money out and money in are both there."))
            return None
        return told.get("credit", Decimal(0)) - told.get("debit", Decimal(0))

    def _currency(self, number: int, row: Sequence[str]) -> str:
        told = self.cell(row, "currency").upper() or self.currency
        told = {"€": "EUR", "£": "GBP", "$": "USD"}.get(told, told)
        if not re.fullmatch("[A-Z]{3}", told):
            self._fault(number, "currency", _("“%(told)s” is not a code such as EUR.") % {"told": told[:20]})
        return told


def _is_day(cell: str, order: str) -> bool:
    try:
        parse_day(cell, order or "dmy")
    except ValueError:
        return False
    return True


def _order(cells: list[tuple[int, str]]) -> str:
    order = day_order(cells)
    if not order:
        number, cell = cells[0]
        raise ChoiceNeededError(
            "day_order",
            Fault(
                _("row %(number)s, column %(name)s") % {"number": number, "name": "date"},
                _("“%(day)s” can be read in two ways: say whether day or month comes first.") % {"day": cell},
            ),
        )
    return order
