"""Quantities, amounts and colours as the workshop's pages show them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import template
from django.utils.html import format_html

from configurator.catalogue.workshop import DEFAULT_CURRENCY
from shop.documents.content import words
from shop.messages.words import money

register = template.Library()
_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@register.filter
def quantity(value: Decimal, unit: str) -> str:
    """Return a quantity such as ``16 ×`` or ``0.35 l``."""
    return words.quantity(value, unit)


@register.filter
def cash(amount: Decimal, currency: str) -> str:
    """Return an amount of money in the reader's notation."""
    return money(amount, currency or DEFAULT_CURRENCY)


@register.filter
def colour(facts: dict[str, Any]) -> str:
    """Return the finish that a line's facts name."""
    return str(facts.get("finish", ""))


@register.filter
def told(part: Any) -> str:
    """Return what identifies a piece beyond its name."""
    shown = words.ordered(part.item, part.name, part.piece)
    return shown.partition(" (")[2].removesuffix(")")


@register.filter
def unique_join(names: Iterable[str]) -> str:
    """Return names joined by commas, each once."""
    return ", ".join(dict.fromkeys(names))


@register.simple_tag
def swatch(value: str) -> str:
    """Return a little square of a colour, drawn so that no style attribute is needed."""
    if not _HEX.fullmatch(value or ""):
        return ""
    return format_html(
        '<svg width="18" height="12" aria-hidden="true">'
        '<rect width="18" height="12" fill="{}" stroke="#777"/></svg>',
        value,
    )
