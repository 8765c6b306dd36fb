"""Reading catalogue files into plain entries that know where they stand.

CSV: one header row, UTF-8, comma; an empty cell is a value not given. TOML: an array of tables, or the
whole file as one entry. Whatever is wrong becomes a Finding; nothing here raises on bad content.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any


@dataclass(frozen=True, order=True)
class Finding:
    """Something wrong: in which file, which row (CSV: line; TOML: nth entry), which field, and what."""

    file: str
    row: int
    field: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}, row {self.row}" if self.row else self.file
        return f"{place}, {self.field}: {self.message}" if self.field else f"{place}: {self.message}"


@dataclass(frozen=True)
class Entry:
    """One row as read, before any value has been judged."""

    file: str
    row: int
    data: dict[str, Any]


def read(path: Path, table: str, columns: Iterable[str]) -> tuple[list[Entry], list[Finding]]:
    """Read a catalogue file; ``table`` names the array of a TOML file, ``columns`` what a CSV may have."""
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return [], [Finding(path.name, 0, "", "The file is missing.")]
    except (OSError, UnicodeDecodeError) as error:
        return [], [Finding(path.name, 0, "", f"The file cannot be read as UTF-8 text ({error}).")]
    if path.suffix == ".toml":
        return _toml(path.name, text, table)
    return _csv(path.name, text, set(columns))


def _csv(name: str, text: str, columns: set[str]) -> tuple[list[Entry], list[Finding]]:
    """Read comma-separated rows; the row number is the line on which the row ends."""
    reader = csv.reader(text.splitlines(keepends=True), strict=True)
    entries, findings = [], []
    header: list[str] = []
    try:
        for cells in reader:
            if not header:
                header = [cell.strip() for cell in cells]
                findings += _header(name, header, columns)
            elif len(cells) > len(header):
                findings.append(Finding(name, reader.line_num, "", "The row has more cells than the header."))
            elif any(cell.strip() for cell in cells):
                entries.append(Entry(name, reader.line_num, _cells(header, cells, columns)))
    except csv.Error as error:
        findings.append(Finding(name, reader.line_num, "", f"The line is not proper CSV: {error}."))
    if not header:
        findings.append(Finding(name, 1, "", "The file has no header row."))
    return entries, findings


def _header(name: str, header: list[str], columns: set[str]) -> list[Finding]:
    """Report columns that nobody knows and columns that come twice."""
    known = ", ".join(sorted(columns))
    return [
        Finding(name, 1, column, f"No such column here; there are: {known}.")
        for column in dict.fromkeys(header)
        if column not in columns
    ] + [
        Finding(name, 1, column, "The column comes more than once.")
        for column in dict.fromkeys(header)
        if header.count(column) > 1
    ]


def _cells(header: list[str], cells: list[str], columns: set[str]) -> dict[str, str]:
    """Pair the known columns with their cells; empty cells are left out."""
    pairs = zip(header, (cell.strip() for cell in cells), strict=False)
    return {column: cell for column, cell in pairs if cell and column in columns}


def _toml(name: str, text: str, table: str) -> tuple[list[Entry], list[Finding]]:
    """Read the array ``table``, or the whole document as one entry when ``table`` is empty."""
    try:
        document = tomllib.loads(text, parse_float=Decimal)
    except (tomllib.TOMLDecodeError, ArithmeticError, ValueError, RecursionError) as error:
        return [], [Finding(name, 0, "", f"The file is not proper TOML: {error}.")]
    if not table:
        return [Entry(name, 1, document)], []
    findings = [
        Finding(name, 0, key, f"Only [[{table}]] entries belong here.") for key in document if key != table
    ]
    rows = document.get(table, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        return [], [*findings, Finding(name, 0, table, f"Write each entry under [[{table}]].")]
    return [Entry(name, number, row) for number, row in enumerate(rows, 1)], findings
