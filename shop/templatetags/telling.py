"""Filters of the customer's page: days, moments and account numbers as people write them."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django import template
from django.utils import timezone
from django.utils.formats import get_format

from shop.messages import words
from shop.money.references import in_fours

register = template.Library()
register.filter("day", words.day)
register.filter("brief", words.brief)
register.filter("moment", words.moment)
register.filter("iban", in_fours)


@register.filter
def machine(moment: datetime) -> str:
    """Return a moment for a machine, to the second: HTML takes no more than thousandths (2.3.5.7)."""
    return timezone.localtime(moment).isoformat(timespec="seconds")


@register.filter
def plain_amount(amount: Decimal) -> str:
    """Return an amount as it is typed into a bank's form: the reader's decimal sign, no grouping, no sign."""
    return f"{amount:.2f}".replace(".", str(get_format("DECIMAL_SEPARATOR")))
