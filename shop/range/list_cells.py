"""A supplier's file as rows of text: workbooks by a library, text files by their own marks."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator, Sequence
from itertools import chain, islice
from typing import Any

from django.utils.translation import gettext_lazy as _
from python_calamine import CalamineError, CalamineWorkbook

MOST_BYTES = 20 * 1024 * 1024
MOST_UNPACKED = 300 * 1024 * 1024
LOOKED_AT = 30
DELIMITERS = ";\t,|"

Row = tuple[int, list[str]]


FAULTS: dict[str, Any] = {
    "empty": _("The file holds no rows."),
    "unpacks": _("The workbook unpacks to more than it should."),
    "workbook": _("The workbook cannot be read."),
    "encoding": _("The file is no text in a known encoding."),
    "neither": _("The file is neither a workbook nor text."),
    "columns": _("No comma, semicolon, tab or bar separates columns."),
    "rows": _("The rows cannot be told apart: %(figure)s."),
    "gone": _("The list has no column ‘%(figure)s’ any more: match its columns anew."),
}


class ListError(ValueError):
    """The file cannot be read: an id of ``FAULTS`` says why, with its figure."""

    def __init__(self, fault: str, figure: str = "") -> None:
        super().__init__(fault)
        self.fault, self.figure = fault, figure[:80]


def fault_words(fault: str, figure: str) -> str:
    """Return why a file cannot be read, or nothing."""
    return str(FAULTS[fault]) % {"figure": figure} if fault in FAULTS else ""


def rows(data: bytes) -> Iterator[Row]:
    """Yield number and cells of each row that holds anything; raise ListError where none can be told."""
    if data[:4] == b"PK\x03\x04" or data[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        return _workbook(data)
    return _text(data)


def heading_and_rows(data: bytes) -> tuple[Row, Iterator[Row]]:
    """Return the heading, which is the fullest of the first rows that holds no figure, and the rows below."""
    read = rows(data)
    first = list(islice(read, LOOKED_AT))
    if not first:
        raise ListError("empty")
    full = max(range(len(first)), key=lambda n: (_words(first[n][1]), -n))
    return first[full], chain(first[full + 1 :], read)


def _words(cells: Sequence[str]) -> int:
    return sum(bool(cell) and not cell.replace(".", "").replace(",", "").isdigit() for cell in cells)


def _workbook(data: bytes) -> Iterator[Row]:
    try:
        if data[:2] == b"PK":
            with zipfile.ZipFile(io.BytesIO(data)) as packed:
                if sum(one.file_size for one in packed.infolist()) > MOST_UNPACKED:
                    raise ListError("unpacks")
        sheet = CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_index(0)
    except (CalamineError, OSError, IndexError, zipfile.BadZipFile) as error:
        raise ListError("workbook") from error
    for number, cells in enumerate(sheet.iter_rows(), 1):
        told = [_cell(one) for one in cells]
        if any(told):
            yield number, told


def _cell(value: Any) -> str:
    """Return a workbook's cell as text: whole numbers without a point."""
    if isinstance(value, float):
        return f"{value:.0f}" if value == int(value) and abs(value) < 1e15 else f"{value:.10g}"
    return " ".join(str("" if value is None else value).split())


def _text(data: bytes) -> Iterator[Row]:
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
            break
        except UnicodeDecodeError:
            continue
    else:
        raise ListError("encoding")
    if "\x00" in text:
        raise ListError("neither")
    mark = max(DELIMITERS, key=text[:20000].count)
    if not text[:20000].count(mark):
        raise ListError("columns")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    try:
        for cells in reader:
            told = [" ".join(cell.split()) for cell in cells]
            if any(told):
                yield reader.line_num, told
    except csv.Error as error:
        raise ListError("rows", str(error)) from None
