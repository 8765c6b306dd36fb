"""Filters of the customer's page: money, days and moments in the reader's language."""

from __future__ import annotations

from django import template

from shop.messages import words

register = template.Library()
register.filter("money", words.money)
register.filter("day", words.day)
register.filter("moment", words.moment)
register.filter("iban", words.iban_in_fours)

TONES = {"fits": "ok", "measure": "warn", "unknown": "warn", "no": "stop"}


@register.filter
def verdict_tone(verdict: str) -> str:
    """Return the style sheet's word for a verdict."""
    return TONES.get(verdict, "info")
