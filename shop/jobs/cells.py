"""Cells of CSV files that spreadsheets open."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

# OWASP, "CSV Injection": what a cell must not begin with, full-width forms included.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def safe_cell(value: Any) -> str:
    """Return a cell that no spreadsheet runs as a formula.

    >>> safe_cell("=1+1")
    "'=1+1"
    """
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, date):
        return value.isoformat()
    text = str(value).replace("\x00", "")
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA) else text
