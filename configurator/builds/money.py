"""Rounding, tax split, sharing of an amount, and the deposit: each formula once, all Decimal."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from typing import Protocol

from .sentences import say

CENT = Decimal("0.01")


class DepositLine(Protocol):
    """What the deposit needs to know of a parts line."""

    @property
    def amount(self) -> Decimal: ...
    @property
    def returnable(self) -> bool: ...


def rounded(amount: Decimal) -> Decimal:
    """Round to the cent, halves away from zero, as on a consumer's bill."""
    return amount.quantize(CENT, ROUND_HALF_UP)


def tax_split(gross: Decimal, rate_pct: Decimal) -> tuple[Decimal, Decimal]:
    """Return (net, tax) of an amount that includes tax; the two add up to it exactly."""
    net = rounded(gross * 100 / (100 + rate_pct))
    return net, gross - net


def shared(amount: Decimal, parts: int) -> list[Decimal]:
    """Split whole cents into ``parts`` shares that differ by a cent at most and add up exactly."""
    share = (amount / parts).quantize(CENT, ROUND_DOWN)
    left = int((amount - share * parts) / CENT)
    return [share + (CENT if index < left else 0) for index in range(parts)]


def deposit(total: Decimal, lines: Iterable[DepositLine], percentage: Decimal) -> tuple[Decimal, str]:
    """Return the deposit and why it is that much.

    The workshop's percentage of the total, never less than the parts that cannot be sent back, never
    more than the total.
    """
    bespoke = sum((line.amount for line in lines if not line.returnable), Decimal(0))
    by_policy = rounded(total * percentage / 100)
    if bespoke >= total:
        return total, say("all_bespoke")
    if bespoke > by_policy:
        return rounded(bespoke), say("bespoke_parts")
    return by_policy, say("share_of_total", share_pct=percentage)
