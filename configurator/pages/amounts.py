"""What a choice does to the price, in the reader's words."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext

from .told import money


def difference(amount: Decimal | None, currency: str, *, taken_out: bool = False) -> str:
    """Return what a choice does to the price: ``+€12.00``, ``−€8.00 without it``; nothing for nothing."""
    if not amount:
        return ""
    shown = money(amount, currency)
    signed = shown if amount < 0 else f"+{shown}"
    return gettext("%(amount)s without it") % {"amount": signed} if taken_out else signed
