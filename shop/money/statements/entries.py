"""What every statement is read into, whatever its format."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

MAX_BYTES = 8_000_000
MAX_AMOUNT = Decimal(10) ** 10
# What banks write where they have no reference.
_NO_REFERENCE = {"", "NONREF", "NOTPROVIDED"}


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a statement: where (row and column, or an element's path) and what."""

    where: str
    message: str

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message


class StatementError(ValueError):
    """The statement was not read; ``faults`` lists what is wrong and nothing was changed."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("; ".join(map(str, faults)))


def refuse(message: str, where: str = "") -> StatementError:
    """Return the error for one fault."""
    return StatementError(Fault(where, message))


@dataclass(frozen=True)
class BankEntry:
    """One booked movement. ``amount`` is positive when money came in; texts as the bank gave them."""

    booked_on: date
    amount: Decimal
    currency: str
    other_name: str = ""
    other_iban: str = ""
    reference: str = ""
    text: str = ""
    bank_reference: str = ""


@dataclass(frozen=True)
class Statement:
    """A whole statement: its format for people, the account's IBAN where told, booked movements."""

    format: str
    account: str
    entries: tuple[BankEntry, ...]
    pending: int = 0


def keyed(statement: Statement, account: str) -> list[tuple[str, BankEntry]]:
    """Give each movement the key by which another statement with the same movement is recognised.

    The bank's own reference with account, day and amount where there is one, else all that is told.
    Movements that are the same in everything are told apart by their order within the statement.
    """
    seen: Counter[tuple[str, ...]] = Counter()
    found = []
    for entry in statement.entries:
        facts = _identity(entry, statement.account or account)
        seen[facts] += 1
        digest = hashlib.sha256("\x1f".join((*facts, str(seen[facts]))).encode()).hexdigest()
        found.append((digest, entry))
    return found


def _identity(entry: BankEntry, account: str) -> tuple[str, ...]:
    common = (account, entry.booked_on.isoformat(), f"{entry.amount:.2f}", entry.currency)
    if entry.bank_reference.upper() not in _NO_REFERENCE:
        return (*common, "bank", entry.bank_reference)
    words = (entry.other_name, entry.other_iban, entry.reference, entry.text)
    return (*common, "told", *(" ".join(word.split()).casefold() for word in words))


def whole_cents(amount: Decimal) -> Decimal:
    """Return the amount to the cent; raise ValueError for fractions of a cent or absurd sizes."""
    if not amount.is_finite() or abs(amount) >= MAX_AMOUNT:
        raise ValueError("is not an amount this account can have")
    if amount != amount.quantize(Decimal("0.01")):
        raise ValueError("has fractions of a cent")
    return amount.quantize(Decimal("0.01"))
