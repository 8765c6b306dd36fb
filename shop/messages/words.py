"""Money, days and times as the reader's language writes them."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone
from django.utils.formats import date_format, number_format
from django.utils.translation import get_language

SYMBOLS = {"EUR": "€", "GBP": "£", "USD": "$"}


def money(amount: Decimal, currency: str) -> str:
    """Return an amount with its currency, such as ``€1,234.00`` or ``1.234,00 €``."""
    figures = number_format(abs(amount), 2, force_grouping=True)
    sign = "−" if amount < 0 else ""
    symbol = SYMBOLS.get(currency, currency)
    if (get_language() or "").startswith("en"):
        return f"{sign}{symbol}{figures}" if symbol != currency else f"{sign}{symbol}\u00a0{figures}"
    return f"{sign}{figures}\u00a0{symbol}"


def day(value: date | datetime) -> str:
    """Return a day with its weekday, such as ``Monday 3 March 2025``."""
    if isinstance(value, datetime):
        value = timezone.localtime(value)
    return date_format(value, "l, j. F Y" if (get_language() or "").startswith("de") else "l j F Y")


def moment(value: datetime) -> str:
    """Return a day with its weekday and the time of day in the workshop's time zone."""
    return f"{day(value)}, {date_format(timezone.localtime(value), 'TIME_FORMAT')}"


def iban_in_fours(iban: str) -> str:
    """Return an IBAN as ISO 13616 prints it: groups of four."""
    plain = iban.replace(" ", "")
    return " ".join(plain[i : i + 4] for i in range(0, len(plain), 4))
