"""A CSV file taken apart: delimiter, lines before the heading, heading, numbered rows."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass

from django.utils.translation import gettext as _
from stdnum import iban as iban_number

from .entries import Fault, StatementError, refuse
from .headings import guess, is_enough
from .text import decode

DELIMITERS = ",;\t|"
_LOOKED_AT = 40
SEPARATOR = re.compile(r"\s*\"?sep=(.)\"?\s*", re.IGNORECASE)

Row = tuple[int, list[str]]


@dataclass(frozen=True)
class Table:
    """Heading and rows below it; rows are numbered as in a spreadsheet. ``account`` is an IBAN told above."""

    heading: tuple[str, ...]
    heading_row: int
    rows: tuple[Row, ...]
    account: str = ""


def open_table(data: bytes) -> Table:
    """Return the table in a CSV file; raise ``StatementError`` where none can be told or rows run over."""
    text = decode(data)
    first, _newline, rest = text.partition("\n")
    skipped = 0
    told = SEPARATOR.fullmatch(first.rstrip("\r"))
    if told:
        text, skipped = rest, 1
    delimiters = told[1] if told else DELIMITERS
    readings = [rows for mark in delimiters if (rows := _rows(text, mark, skipped))]
    if not readings:
        raise refuse(_("No comma, semicolon, tab or bar separates columns in the heading."), _("row 1"))
    rows, at = max(((rows, _heading_at(rows)) for rows in readings), key=lambda one: _score(*one))
    number, heading = rows[at]
    table = Table(tuple(heading), number, tuple(rows[at + 1 :]), _account(rows[:at]))
    _check(table)
    return table


def _rows(text: str, delimiter: str, skipped: int) -> list[Row]:
    """Return the rows that hold anything, or nothing where the delimiter parts no row."""
    try:
        read = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        if delimiter in text.partition("\n")[0]:
            raise refuse(
                _("The rows cannot be told apart (%(error)s); look for a stray quotation mark.")
                % {"error": error}
            ) from None
        return []
    rows = [
        (number, row) for number, row in enumerate(read, start=1 + skipped) if any(c.strip() for c in row)
    ]
    return rows if any(len(row) > 1 for _number, row in rows) else []


def _heading_at(rows: list[Row]) -> int:
    """Return which row is the heading: the first that names day and amount, else the first widest one."""
    for index, (_number, row) in enumerate(rows[:_LOOKED_AT]):
        if is_enough(guess(row)):
            return index
    widest = max(len(_filled(row)) for _number, row in rows[:_LOOKED_AT])
    return next(index for index, (_number, row) in enumerate(rows) if len(_filled(row)) == widest)


def _score(rows: list[Row], at: int) -> tuple[bool, int, int]:
    heading = rows[at][1]
    return is_enough(guess(heading)), len(guess(heading)), len(heading)


def _filled(row: list[str]) -> list[str]:
    """Return the row without empty cells at its end: many banks close each line with a delimiter."""
    end = len(row)
    while end and not row[end - 1].strip():
        end -= 1
    return row[:end]


def _account(rows: list[Row]) -> str:
    """Return the one IBAN that stands above the heading, if there is one."""
    cells = (cell for _number, row in rows for cell in row)
    found = {plain for cell in cells for plain in _ibans(cell)}
    return found.pop() if len(found) == 1 else ""


def _ibans(cell: str) -> list[str]:
    plain = re.sub(r"[^0-9A-Z]", "", cell.upper())
    starts = (plain[match.start() :] for match in re.finditer(r"[A-Z]{2}[0-9]{2}", plain))
    return [start for start in starts if iban_number.is_valid(start, check_country=False)]


def _check(table: Table) -> None:
    """Refuse rows with more cells than the heading: a decimal comma would become a column of its own."""
    width = len(table.heading)
    faults = [
        Fault(
            _("row %(number)s") % {"number": number},
            _(
                "It has %(cells)s cells, the heading %(width)s. "
                "A comma in an amount or text needs quotation marks."
            )
            % {"cells": len(_filled(row)), "width": width},
        )
        for number, row in table.rows
        if len(_filled(row)) > width
    ]
    if faults:
        raise StatementError(*faults[:50])
