"""What a choice does to the price, in the reader's words."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext

from .told import money


def total_label(tax_rate_pct: Decimal) -> str:
    """Return what a total is called: a workshop that charges no tax does not call it included."""
    return gettext("Total, tax included") if tax_rate_pct else gettext("Total")


def price_label(tax_rate_pct: Decimal) -> str:
    """Return what a price is called, as ``total_label`` does a total."""
    return gettext("Price, tax included") if tax_rate_pct else gettext("Price")


def difference(amount: Decimal | None, currency: str, *, taken_out: bool = False) -> str:
    """Return what a choice does to the price: ``+€12.00``, ``−€8.00 without it``; nothing for nothing."""
    if not amount:
        return ""
    shown = money(amount, currency)
    signed = shown if amount < 0 else f"+{shown}"
    return gettext("%(amount)s without it") % {"amount": signed} if taken_out else signed
