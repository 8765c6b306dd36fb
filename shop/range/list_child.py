"""A workbook read in a process of its own, which may die of it: rows as JSON lines on standard output.

The bytes come from outside. A workbook of a kilobyte may name a cell in the last row of the last column, and
the library then asks for room for every cell before it; no length that the file states can be believed. So
whoever wants the rows (``list_cells``) runs this file by itself, with bounds on room and time.
"""

from __future__ import annotations

import json
import math
import sys
from typing import Any

from python_calamine import CalamineError, CalamineWorkbook

NO_WORKBOOK = 3
MOST_MEMORY = 1 << 30
MOST_SECONDS = 120


def bound() -> None:
    """Let this process have no more room and time than an honest list needs, and leave no dump behind."""
    try:
        import resource
    except ImportError:  # Windows has no such bounds; the process dies alone there as well.
        return
    for what, most in (
        (resource.RLIMIT_AS, MOST_MEMORY),
        (resource.RLIMIT_CPU, MOST_SECONDS),
        (resource.RLIMIT_CORE, 0),
    ):
        hard = resource.getrlimit(what)[1]
        resource.setrlimit(what, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))


def cell(value: Any) -> str:
    """Return a workbook's cell as text: whole numbers without a point, nothing for what is no number."""
    if isinstance(value, float):
        if not math.isfinite(value):
            return ""
        return f"{value:.0f}" if value == int(value) and abs(value) < 1e15 else f"{value:.10g}"
    return " ".join(str("" if value is None else value).split())


def main() -> int:
    """Write number and cells of each row that holds anything."""
    bound()
    try:
        sheet = CalamineWorkbook.from_filelike(sys.stdin.buffer).get_sheet_by_index(0)
    except (CalamineError, OSError, IndexError):
        return NO_WORKBOOK
    for number, cells in enumerate(sheet.iter_rows(), 1):
        told = [cell(one) for one in cells]
        if any(told):
            sys.stdout.write(json.dumps((number, told)) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
