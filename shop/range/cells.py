"""From what was typed to the cells that the files' checks judge."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from configurator.catalogue.describing import Column
from configurator.catalogue.exporting import cell
from configurator.catalogue.plain import Plain

EXTRA_ROWS = 2


def shown(column: Column, value: Any) -> Any:
    """Return a plain value as its input shows it."""
    if column.base is bool and not column.is_list:
        return bool(value)
    if column.is_list and not column.is_profile:
        return list(value or ())
    return cell(value)


def typed(column: Column, value: Any) -> Any:
    """Return what was typed as a cell: a decimal comma is a point, lists stay lists."""
    if isinstance(value, bool) or (column.is_list and not column.is_profile):
        return value
    text = str(value if value is not None else "").strip()
    if column.is_number or column.is_profile:
        text = text.replace(",", ".").replace("\u2212", "-")
    return text


def given(cells: Mapping[str, Any]) -> Plain:
    """Leave out what is empty, as a file's empty cell: what is not given has its default."""
    return {name: value for name, value in cells.items() if value not in ("", None)}


def profile_points(data: Any, name: str) -> str:
    """Return the points typed into a profile's numbers as the file's cell: ``178:-35 140:20``."""
    radii, levels = data.getlist(f"{name}-r"), data.getlist(f"{name}-y")
    pairs = zip(radii, levels, strict=False)
    found = [
        (r.strip().replace(",", "."), y.strip().replace(",", ".").replace("\u2212", "-")) for r, y in pairs
    ]
    return " ".join(f"{r or '?'}:{y or '?'}" for r, y in found if r or y)


def inner_rows(data: Any, column: Column) -> list[Plain]:
    """Return the rows within a row as they were typed; a row with nothing in it, or ticked away, is none."""
    found = (inner_row(data, column, number) for number in range(count(data, column.name)))
    return [row for row in found if row is not None]


def inner_row(data: Any, column: Column, number: int) -> Plain | None:
    """Return one row within a row as it was typed, or None where it is none."""
    prefix = f"{column.name}-{number}-"
    if data.get(f"{prefix}gone"):
        return None
    cells = {
        inner.name: (
            f"{prefix}{inner.name}" in data
            if inner.base is bool
            else typed(inner, data.get(f"{prefix}{inner.name}"))
        )
        for inner in column.inner
    }
    return given(cells) if any(value for name, value in cells.items() if name not in _PRESET) else None


_PRESET = frozenset({"resource", "basis", "stage"})
"""Selects that stand on something in a spare row too, so that they do not make it one."""


def count(data: Any, name: str) -> int:
    """Return how many inner rows a form had, at most as many as one may."""
    numbers = [int(part) for key in data if (part := _number(key, name)).isdigit()]
    return min(max(numbers, default=-1) + 1, 80)


def _number(key: str, name: str) -> str:
    return key.removeprefix(f"{name}-").partition("-")[0] if key.startswith(f"{name}-") else ""
