"""Filters of the customer's page: days, moments and account numbers as people write them."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.formats import get_format

from shop.messages import words
from shop.money.references import in_fours

register = template.Library()
register.filter("day", words.day)
register.filter("brief", words.brief)
register.filter("moment", words.moment)
register.filter("iban", in_fours)


@register.filter
def plain_amount(amount: Decimal) -> str:
    """Return an amount as it is typed into a bank's form: the reader's decimal sign, no grouping, no sign."""
    return f"{amount:.2f}".replace(".", str(get_format("DECIMAL_SEPARATOR")))
