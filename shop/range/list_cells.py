"""A supplier's file as rows of text: workbooks by a library, text files by their own marks."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
import tempfile
import zipfile
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain, islice
from pathlib import Path
from typing import Any

from django.utils.translation import gettext_lazy as _

from shop.money.statements.table import SEPARATOR
from shop.money.statements.text import encodings

from .list_child import NO_WORKBOOK
from .list_reckoning import NEEDED, guess

CHILD = Path(__file__).with_name("list_child.py")

MOST_BYTES = 20 * 1024 * 1024
MOST_UNPACKED = 300 * 1024 * 1024
LOOKED_AT = 30
LOOKED_INTO = 20_000
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
    if _is_workbook(data):
        return _workbook(data)
    return _text(data)


def heading_and_rows(data: bytes) -> tuple[Row, Iterator[Row]]:
    """Return the heading and the rows below it; two columns of one name are told apart by a number.

    The heading is the first of the first rows that names what is needed, else the one with the most words:
    a row of goods has figures.
    """
    read = rows(data)
    first = list(islice(read, LOOKED_AT))
    if not first:
        raise ListError("empty")
    at = _heading_at([cells for _number, cells in first])
    number, cells = first[at]
    return (number, _told_apart(cells)), chain(first[at + 1 :], read)


def _heading_at(first: Sequence[Sequence[str]]) -> int:
    named = (at for at, cells in enumerate(first) if set(NEEDED) <= guess(cells).keys())
    return next(named, max(range(len(first)), key=lambda at: (_words(first[at]), -at)))


def _words(cells: Sequence[str]) -> int:
    """Return how many cells hold words, less those that hold figures."""
    figures = sum(any(char.isdigit() for char in cell) for cell in cells)
    return sum(map(bool, cells)) - 2 * figures


def _told_apart(cells: Sequence[str]) -> list[str]:
    seen: Counter[str] = Counter()
    told = []
    for cell in cells:
        seen[cell] += 1
        told.append(f"{cell} ({seen[cell]})" if cell and seen[cell] > 1 else cell)
    return told


def usual_mark(data: bytes) -> str:
    """Return the decimal mark that goes with a file: a comma where semicolons part its columns."""
    return "," if not _is_workbook(data) and _parted(_decoded(data))[1] == ";" else "."


def _is_workbook(data: bytes) -> bool:
    return data[:4] == b"PK\x03\x04" or data[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def _workbook(data: bytes) -> Iterator[Row]:
    """Have another process read it: one that asks for more room than there is takes nobody along."""
    _look_inside(data)
    with tempfile.TemporaryFile() as file:
        file.write(data)
        file.seek(0)
        with subprocess.Popen(  # noqa: S603 - our own file, by this very Python
            [sys.executable, "-I", str(CHILD)], stdin=file, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        ) as child:
            try:
                for line in child.stdout or ():
                    number, cells = json.loads(line)
                    yield number, cells
                ended = child.wait()
            finally:
                child.kill()  # whoever wanted only the first rows
    if ended:
        raise ListError("workbook" if ended == NO_WORKBOOK else "unpacks")


def _look_inside(data: bytes) -> None:
    """Refuse what says itself that it unpacks to too much, before anything is."""
    if data[:2] != b"PK":
        return
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            unpacked = sum(one.file_size for one in packed.infolist())
    except zipfile.BadZipFile as error:
        raise ListError("workbook") from error
    if unpacked > MOST_UNPACKED:
        raise ListError("unpacks")


def _text(data: bytes) -> Iterator[Row]:
    text, mark = _parted(_decoded(data))
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    try:
        for cells in reader:
            told = [" ".join(cell.split()) for cell in cells]
            if any(told):
                yield reader.line_num, told
    except csv.Error as error:
        raise ListError("rows", str(error)) from None


def _decoded(data: bytes) -> str:
    for encoding in encodings(data):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\x00" in text:
            raise ListError("neither")
        return text
    raise ListError("encoding")


def _parted(text: str) -> tuple[str, str]:
    """Return the text without a line that only names its delimiter, and that delimiter or the likeliest."""
    first, _newline, rest = text.partition("\n")
    if told := SEPARATOR.fullmatch(first.rstrip("\r")):
        return rest, told[1]
    best = max(DELIMITERS, key=lambda mark: _evenness(text[:LOOKED_INTO], mark))
    if not text[:LOOKED_INTO].count(best):
        raise ListError("columns")
    return text, best


def _evenness(text: str, mark: str) -> tuple[bool, float, int]:
    """Return how well a delimiter parts a text: into a heading, into rows of one width, into many columns."""
    try:
        found = [row for row in csv.reader(io.StringIO(text, newline=""), delimiter=mark) if any(row)]
    except csv.Error:
        return False, 0.0, 0
    wide = Counter(len(row) for row in found if len(row) > 1)
    if not wide:
        return False, 0.0, 0
    width, rows_of_it = wide.most_common(1)[0]
    named = any(set(NEEDED) <= guess(row).keys() for row in found[:LOOKED_AT])
    return named, rows_of_it / len(found), width
