"""Words of the catalogue's pages."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import template

from shop.messages.words import money
from shop.range.told import value

register = template.Library()
register.filter("plain_value", value)


@register.filter
def nth(found: Sequence[Any], number: int) -> Any:
    """Return one of a list by its place."""
    return found[number]


@register.filter
def money_of(amount: str, currency: str) -> str:
    """Return an amount of the catalogue with its currency."""
    return money(Decimal(amount), currency)
