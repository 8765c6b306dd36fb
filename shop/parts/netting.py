"""How much to order: need against stock and open orders, in whole packs. Plain arithmetic, no database."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

NOTHING = Decimal(0)


def whole_packs(quantity: Decimal, pack_size: Decimal) -> Decimal:
    """Return the smallest multiple of the pack that is at least ``quantity``; nothing stays nothing.

    >>> whole_packs(Decimal("9"), Decimal("4"))
    Decimal('12')
    """
    if quantity <= 0:
        return NOTHING
    if pack_size <= 0:
        return quantity
    return (quantity / pack_size).to_integral_value(rounding=ROUND_CEILING) * pack_size


def short_of(*, wanted: Decimal, free: Decimal, on_order: Decimal) -> Decimal:
    """Return what neither free stock nor open orders will bring, never negative."""
    return max(NOTHING, wanted - free - on_order)


def to_order(*, wanted: Decimal, free: Decimal, on_order: Decimal, pack_size: Decimal) -> Decimal:
    """Return how much to order now, in whole packs."""
    return whole_packs(short_of(wanted=wanted, free=free, on_order=on_order), pack_size)


@dataclass(frozen=True)
class Share:
    """What one claimant gets out of what there is."""

    key: int
    quantity: Decimal


def share_out(available: Decimal, claims: Iterable[tuple[int, Decimal]]) -> list[Share]:
    """Give what is available to the claims in their order, each up to what it asks for.

    >>> [str(s.quantity) for s in share_out(Decimal(5), [(1, Decimal(4)), (2, Decimal(4))])]
    ['4', '1']
    """
    shares = []
    for key, asked in claims:
        given = min(available, asked)
        if given > 0:
            shares.append(Share(key, given))
            available -= given
    return shares


@dataclass(frozen=True)
class Cover:
    """How one claim will be met: which supplies bring how much, and what is missing."""

    from_supplies: tuple[Share, ...]
    missing: Decimal


def cover(claims: Sequence[tuple[int, Decimal]], supplies: Sequence[tuple[int, Decimal]]) -> dict[int, Cover]:
    """Meet claims from supplies, both in their order, and say what is missing of each claim."""
    left = dict(supplies)
    found: dict[int, Cover] = {}
    for claim, asked in claims:
        shares = []
        for supply, there in left.items():
            given = min(asked, there)
            if given > 0:
                shares.append(Share(supply, given))
                left[supply] -= given
                asked -= given
        found[claim] = Cover(tuple(shares), asked)
    return found
