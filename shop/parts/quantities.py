"""Quantities as a column, and the key under which stock is kept."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models

NOTHING = Decimal(0)
THOUSANDTH = Decimal("0.001")


def quantity_field(**options: Any) -> models.DecimalField:
    """Return a quantity in the item's unit, never negative."""
    return models.DecimalField(
        max_digits=12, decimal_places=3, validators=[MinValueValidator(NOTHING)], **options
    )


def exactly(total: Decimal) -> Decimal:
    """Return a sum of quantities as it is: SQLite adds them as binary fractions, close enough.

    >>> exactly(Decimal("0.30000000000000004"))
    Decimal('0.300')
    """
    return total.quantize(THOUSANDTH)


def plain(number: Decimal) -> str:
    """Return a number as people type it: without noughts behind, and never as a power of ten.

    >>> plain(Decimal("110.0000")), plain(Decimal("0.2500"))
    ('110', '0.25')
    """
    return f"{number.normalize():f}"


def sku_field(**options: Any) -> models.CharField:
    """Return the key under which stock is kept: the item code, and the colour of paint mixed to one."""
    return models.CharField(max_length=160, **({"db_index": True} | options))


def sku_of(item: str, kind: str, finish: str) -> str:
    """Return the stock key of a parts line: two colours of one paint never stand in for each other."""
    colour = finish if kind == "paint" else ""
    return f"{item} · {colour}"[:160] if colour else item
