"""One statement of a file, by its kind."""

from __future__ import annotations

from shop.money.statements.camt import read_camt as read_all_camt
from shop.money.statements.csv_file import read_csv as read_all_csv
from shop.money.statements.entries import Statement


def read_camt(data: bytes) -> Statement:
    """Return the one account's statement of a file."""
    (found,) = read_all_camt(data)
    return found


def read_csv(data: bytes, *, currency: str) -> Statement:
    """Return the one account's statement of a file."""
    (found,) = read_all_csv(data, currency=currency)
    return found
