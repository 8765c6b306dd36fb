"""Bank statements as CSV with columns of our own, for banks that give no camt.053.

The first row names the columns, in any order and case. ``date`` and ``amount`` are needed; ``currency``,
``name``, ``iban``, ``reference``, ``text``, ``bank_reference`` and ``account`` may be there; others are
passed over. Commas, semicolons, tabs or bars separate; decimals have a point or a comma; days are
``2026-03-31``, ``31.03.2026`` or ``31/03/2026``.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal

from .entries import MAX_BYTES, BankEntry, Fault, Statement, StatementError, refuse, whole_cents

NEEDED = ("date", "amount")
COLUMNS = (*NEEDED, "currency", "name", "iban", "reference", "text", "bank_reference", "account")
DELIMITERS = ",;\t|"
DAYS = ("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y")
MAX_FAULTS = 50
_AMOUNT = re.compile(r"(?P<sign>[+-]?)(?P<digits>\d[\d.,' \u00a0\u2019]*|[.,]\d+)(?P<behind>-?)")


def read_csv(data: bytes, *, currency: str) -> Statement:
    """Return the movements of a CSV statement; ``currency`` stands where the file names none.

    Raises ``StatementError`` with every fault by row and column; rows are numbered as in a
    spreadsheet, the heading being row 1.
    """
    text = _decode(data)
    rows = _rows(text)
    header = _header(rows[0] if rows else [])
    body = [
        (number, row) for number, row in enumerate(rows[1:], start=2) if any(cell.strip() for cell in row)
    ]
    if not body:
        raise refuse("There is no row below the heading.", "row 2")
    faults: list[Fault] = []
    point = _decimal_mark((number, _cell(row, header, "amount")) for number, row in body)
    entries = [_entry(row, header, number, point, currency, faults) for number, row in body]
    accounts = {_cell(row, header, "account").replace(" ", "").upper() for _, row in body} - {""}
    if len(accounts) > 1:
        faults.append(Fault("column account", "The rows are of several accounts; use one file for each."))
    if faults:
        raise StatementError(*faults[:MAX_FAULTS])
    return Statement("CSV", accounts.pop() if accounts else "", tuple(e for e in entries if e))


def _decode(data: bytes) -> str:
    if len(data) > MAX_BYTES:
        raise refuse(f"The file is larger than {MAX_BYTES // 1_000_000} MB.")
    if not data.strip():
        raise refuse("The file is empty.")
    if b"\x00" in data:
        raise refuse("This is not a text file. Save it as CSV first.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Older bank exports are Windows-1252; every byte has some meaning there.
        return data.decode("cp1252", errors="replace")


def _rows(text: str) -> list[list[str]]:
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(DELIMITERS, key=first.count)
    if not first.count(delimiter):
        raise refuse("No comma, semicolon, tab or bar separates columns in the heading.", "row 1")
    try:
        return list(csv.reader(io.StringIO(text.lstrip("\r\n ")), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise refuse(f"The rows cannot be told apart ({error}); look for a stray quotation mark.") from None


def _header(row: list[str]) -> dict[str, int]:
    names = [re.sub(r"[\s_-]+", "_", cell.strip().casefold()) for cell in row]
    header = {name: names.index(name) for name in COLUMNS if name in names}
    faults = [
        Fault("row 1", f"The column “{name}” is missing. Found: {', '.join(filter(None, names))[:200]}.")
        for name in NEEDED
        if name not in header
    ]
    faults += [
        Fault("row 1", f"The column “{name}” is there twice.") for name in header if names.count(name) > 1
    ]
    if faults:
        raise StatementError(*faults)
    return header


def _cell(row: list[str], header: dict[str, int], name: str) -> str:
    index = header.get(name)
    return row[index].strip() if index is not None and index < len(row) else ""


def _decimal_mark(cells: Iterable[tuple[int, str]]) -> str:
    """Return the decimal mark that the column shows, or nothing when no cell tells.

    A cell tells by having both marks (the last is the decimal one), or one mark that three digits do
    not follow. Cells that tell different marks are a fault of the file.
    """
    told: dict[str, int] = {}
    for number, cell in cells:
        marks = [char for char in cell if char in ".,"]
        if not marks:
            continue
        last = marks[-1]
        behind = re.sub(r"\D", "", cell[cell.rindex(last) + 1 :])
        if len(set(marks)) == 2 or (len(marks) == 1 and len(behind) != 3):
            told.setdefault(last, number)
    if len(told) == 2:
        raise refuse(
            f"Row {told['.']} has a decimal point and row {told[',']} a decimal comma.", "column amount"
        )
    return next(iter(told), "")


def parse_amount(cell: str, decimal_mark: str) -> Decimal:
    """Return a cell's amount; raise ValueError with what is wrong, such as two ways to read it."""
    match = _AMOUNT.fullmatch(cell.replace("\u2212", "-").strip())
    if match is None:
        raise ValueError("is not an amount")
    digits = re.sub(r"[' \u00a0\u2019]", "", match["digits"])
    marks = {char for char in digits if char in ".,"}
    if not decimal_mark and marks:
        if len(marks) == 1 and digits.count(next(iter(marks))) == 1:
            raise ValueError("can be read in two ways: write two decimals")
        decimal_mark = "," if marks == {"."} else "."
    if decimal_mark:
        other = "," if decimal_mark == "." else "."
        if digits.count(decimal_mark) > 1:
            raise ValueError("has two decimal marks")
        _check_thousands(digits, decimal_mark, other)
        digits = digits.replace(other, "").replace(decimal_mark, ".")
    amount = whole_cents(Decimal(digits))
    return -amount if "-" in (match["sign"], match["behind"]) else amount


def _check_thousands(digits: str, decimal_mark: str, other: str) -> None:
    whole = digits.split(decimal_mark)[0]
    groups = whole.split(other)
    if other in digits.partition(decimal_mark)[2]:
        raise ValueError("has a thousands mark behind the decimal mark")
    if len(groups) > 1 and (not 1 <= len(groups[0]) <= 3 or any(len(group) != 3 for group in groups[1:])):
        raise ValueError("has thousands marks in the wrong places")


def parse_day(cell: str) -> date:
    """Return a cell's day; raise ValueError when it is none."""
    for pattern in DAYS:
        try:
            return datetime.strptime(cell, pattern).date()  # noqa: DTZ007 - a day has no time zone
        except ValueError:
            continue
    raise ValueError("is not a day such as 2026-03-31 or 31.03.2026")


def _entry(
    row: list[str], header: dict[str, int], number: int, mark: str, currency: str, faults: list[Fault]
) -> BankEntry | None:
    found: dict[str, date | Decimal] = {}
    for name, parse in (("date", parse_day), ("amount", lambda cell: parse_amount(cell, mark))):
        cell = _cell(row, header, name)
        try:
            found[name] = parse(cell)
        except ValueError as error:
            said = f"“{cell[:40]}” {error}." if cell else "Nothing is there."
            faults.append(Fault(f"row {number}, column {name}", said))
    told = _cell(row, header, "currency").upper() or currency
    if not re.fullmatch("[A-Z]{3}", told):
        faults.append(Fault(f"row {number}, column currency", f"“{told[:20]}” is not a code such as EUR."))
    if len(found) < 2:
        return None
    booked_on, amount = found["date"], found["amount"]
    assert isinstance(booked_on, date)  # noqa: S101 - tells mypy which is which
    assert isinstance(amount, Decimal)  # noqa: S101
    return BankEntry(
        booked_on=booked_on,
        amount=amount,
        currency=told,
        other_name=_cell(row, header, "name")[:140],
        other_iban=_cell(row, header, "iban").replace(" ", "").upper()[:34],
        reference=_cell(row, header, "reference")[:35],
        text=_cell(row, header, "text")[:2000],
        bank_reference=_cell(row, header, "bank_reference")[:80],
    )
