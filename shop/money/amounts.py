"""Amounts of money: as a column, and in whole cents."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import models


def money_field(**options: Any) -> models.DecimalField:
    """Return an amount of money to the cent."""
    return models.DecimalField(max_digits=12, decimal_places=2, **options)


def cents(amount: Decimal) -> int:
    """Return an amount in whole cents, exactly."""
    return int(amount.scaleb(2))


def amount_of(whole_cents: int | None) -> Decimal:
    """Return an amount from whole cents."""
    return Decimal(whole_cents or 0).scaleb(-2)
