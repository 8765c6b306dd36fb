"""One cell of a CSV statement: an amount or a day, as banks write them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from .entries import refuse, whole_cents

DEBIT = frozenset({"s", "soll", "d", "dr", "db", "dbit", "debit", "l", "lastschrift", "-", "af", "out"})
CREDIT = frozenset({"h", "haben", "c", "cr", "crdt", "credit", "gutschrift", "+", "bij", "in"})
"""What banks write for money that went out and money that came in, in lower case."""

_SPACES = " \u00a0\u202f\u2009'\u2019\u00b4"  # plain, no-break, narrow, thin; apostrophes group too
_CURRENCY_BEFORE = re.compile(r"^([+-]?)\s*(?:[A-Z]{3}|[€$£])\s*")
_CURRENCY_BEHIND = re.compile(r"\s*(?:[A-Z]{3}|[€$£])$")
_MARK = re.compile(r"(?<=[\d\s])(S|H|D|C|DR|CR|DB)$", re.IGNORECASE)
_AMOUNT = re.compile(rf"(?P<sign>[+-]?)(?P<digits>\d[\d.,{_SPACES}]*|[.,]\d+)(?P<behind>[+-]?)")
_NUMBERS = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{2}|\d{4})(?:[T ].*)?")
_NAMED = re.compile(r"(\d{1,2})[ .-]+([^\W\d_]{3,9})\.?[ .-]+(\d{4}|\d{2})")
_MONTHS = {
    name: number
    for number, names in enumerate(
        [
            "jan",
            "feb",
            "mar/mär/mrz",
            "apr",
            "may/mai",
            "jun",
            "jul",
            "aug",
            "sep",
            "oct/okt",
            "nov",
            "dec/dez",
        ],
        start=1,
    )
    for name in names.split("/")
}


def _bare(cell: str) -> str:
    """Return an amount's cell without currency, with plain minus signs."""
    text = cell.replace("\u2212", "-").replace("\u2013", "-").strip(f"{_SPACES}\t")
    return _CURRENCY_BEHIND.sub("", _CURRENCY_BEFORE.sub(r"\1", text)).strip()


def decimal_mark(cells: Iterable[tuple[int, str]]) -> str:
    """Return the decimal mark that a column of (row, cell) shows, or nothing when no cell tells.

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
            _("Row %(point)s has a decimal point and row %(comma)s a decimal comma.")
            % {"point": told["."], "comma": told[","]},
            _("column amount"),
        )
    return next(iter(told), "")


def parse_amount(cell: str, mark: str) -> Decimal:
    """Return a cell's amount; raise ValueError with what is wrong, such as two ways to read it.

    A minus may stand before or behind, and so may a currency; S or D behind is money that went out,
    H or C money that came in.
    """
    text = _bare(cell)
    side = _MARK.search(text)
    if side:
        text = _bare(text[: side.start()])
    match = _AMOUNT.fullmatch(text)
    if match is None or (match["sign"] and match["behind"]) or (side and (match["sign"] or match["behind"])):
        raise ValueError(_("is not an amount"))
    amount = whole_cents(Decimal(_digits(match["digits"], mark)))
    out = "-" in (match["sign"], match["behind"]) or bool(side and side[1].casefold() in DEBIT)
    return -amount if out else amount


def _digits(told: str, mark: str) -> str:
    """Return the digits with a decimal point, marks of thousands taken out."""
    digits = re.sub(f"[{_SPACES}]", "", told)
    marks = {char for char in digits if char in ".,"}
    if not mark and marks:
        if len(marks) == 1 and digits.count(next(iter(marks))) == 1:
            raise ValueError(_("can be read in two ways: write two decimals"))
        # Of two marks the last is the decimal one; one that stands several times parts thousands.
        mark = max(marks, key=digits.rindex) if len(marks) == 2 else "," if marks == {"."} else "."
    if not mark:
        return digits
    if digits.count(mark) > 1:
        raise ValueError(_("has two decimal marks"))
    other = "," if mark == "." else "."
    whole, _point, behind = digits.partition(mark)
    if other in behind:
        raise ValueError(_("has a thousands mark behind the decimal mark"))
    groups = whole.split(other)
    if len(groups) > 1 and (not 1 <= len(groups[0]) <= 3 or any(len(group) != 3 for group in groups[1:])):
        raise ValueError(_("has thousands marks in the wrong places"))
    return digits.replace(other, "").replace(mark, ".")


def day_order(cells: Iterable[tuple[int, str]]) -> str:
    """Return ``dmy`` or ``mdy`` as a column of days shows it, or nothing when no cell tells.

    Days parted by points are day, month, year everywhere; days that begin with the year need no order.
    """
    told: dict[str, int] = {}
    asked = False
    for number, cell in cells:
        match = _NUMBERS.fullmatch(cell.strip())
        if match is None or match[2] == "." or len(match[1]) == 4:
            continue
        first, second = int(match[1]), int(match[3])
        if first > 12:
            told.setdefault("dmy", number)
        elif second > 12:
            told.setdefault("mdy", number)
        elif first != second:
            asked = True
    if len(told) == 2:
        raise refuse(
            _("Row %(dmy)s begins with the day and row %(mdy)s with the month.") % told, _("column date")
        )
    return next(iter(told), "" if asked else "dmy")


def parse_day(cell: str, order: str = "dmy") -> date:
    """Return a cell's day; raise ValueError when it is none. Two digits of a year are of this century."""
    text = cell.strip()
    try:
        if re.fullmatch(r"(19|20)\d{6}", text):
            return date(int(text[:4]), int(text[4:6]), int(text[6:]))
        if named := _NAMED.fullmatch(text):
            month = _MONTHS.get(named[2][:3].casefold(), 0)
            return date(_year(named[3]), month, int(named[1]))
        numbers = _NUMBERS.fullmatch(text)
        if numbers is None:
            raise ValueError(text)
        first, second, third = numbers[1], int(numbers[3]), numbers[4]
        if len(first) == 4:
            return date(int(first), second, int(third))
        if order == "mdy" and numbers[2] != ".":
            return date(_year(third), int(first), second)
        return date(_year(third), second, int(first))
    except ValueError:
        raise ValueError(_("is not a day such as 2026-03-31 or 31.03.2026")) from None


def _year(digits: str) -> int:
    return int(digits) + (2000 if len(digits) == 2 else 0)
