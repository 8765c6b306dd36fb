"""Filters of the customer's page: days, moments and account numbers as people write them."""

from __future__ import annotations

from django import template

from shop.messages import words
from shop.money.references import in_fours

register = template.Library()
register.filter("day", words.day)
register.filter("brief", words.brief)
register.filter("moment", words.moment)
register.filter("iban", in_fours)
