"""What every statement is read into, whatever its format."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

MAX_BYTES = 8_000_000
MAX_AMOUNT = Decimal(10) ** 10


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
    """One booked movement. ``amount`` is positive when money came in; texts as the bank gave them.

    ``reference`` is the first structured reference, further ones stand in ``text``; ``documents`` are
    the numbers of invoices and the like that the payer named. ``bank_reference`` is the servicer's own
    reference of the movement, never its number within a file. ``is_reversal`` is set where the bank
    says that the movement takes back an earlier one.
    """

    booked_on: date
    amount: Decimal
    currency: str
    other_name: str = ""
    other_iban: str = ""
    reference: str = ""
    text: str = ""
    bank_reference: str = ""
    documents: str = ""
    is_reversal: bool = False


@dataclass(frozen=True)
class Statement:
    """What a file tells of one account: its number as the bank writes it, and the booked movements.

    ``format`` is for people and tells how movements are worded; ``pending`` counts movements that the
    bank has not booked, ``passed_over`` lists rows that are none.
    """

    format: str
    account: str
    entries: tuple[BankEntry, ...]
    pending: int = 0
    passed_over: tuple[str, ...] = field(default=())


def whole_cents(amount: Decimal) -> Decimal:
    """Return the amount to the cent; raise ValueError for fractions of a cent or absurd sizes."""
    if not amount.is_finite() or abs(amount) >= MAX_AMOUNT:
        raise ValueError(_("is not an amount this account can have"))
    if amount != amount.quantize(Decimal("0.01")):
        raise ValueError(_("has fractions of a cent"))
    return amount.quantize(Decimal("0.01"))
