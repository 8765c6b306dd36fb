"""Netting never orders less than is lacking, and never a pack too many."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from shop.parts.netting import cover, share_out, short_of, to_order, whole_packs

quantities = st.decimals(0, 1000, places=3)
packs = st.decimals("0.001", 50, places=3)


@given(quantities, packs)
def test_whole_packs_are_enough_and_one_fewer_is_not(quantity: Decimal, pack: Decimal) -> None:
    ordered = whole_packs(quantity, pack)

    assert ordered >= quantity
    assert ordered % pack == 0
    assert ordered == 0 or ordered - pack < quantity


@given(quantities, quantities, quantities, packs)
def test_what_is_ordered_closes_the_gap_and_nothing_more(
    wanted: Decimal, free: Decimal, on_order: Decimal, pack: Decimal
) -> None:
    ordered = to_order(wanted=wanted, free=free, on_order=on_order, pack_size=pack)

    assert free + on_order + ordered >= wanted
    assert (ordered == 0) == (free + on_order >= wanted)
    assert ordered < short_of(wanted=wanted, free=free, on_order=on_order) + pack


@given(quantities, st.lists(quantities, max_size=8))
def test_shares_add_up_to_what_there_is_or_what_was_asked(available: Decimal, asked: list[Decimal]) -> None:
    shares = share_out(available, list(enumerate(asked)))

    assert sum(share.quantity for share in shares) == min(available, sum(asked))
    assert all(0 < share.quantity <= asked[share.key] for share in shares)


@given(st.lists(quantities, max_size=6), st.lists(quantities, max_size=6))
def test_cover_loses_nothing_and_serves_in_order(asked: list[Decimal], supplies: list[Decimal]) -> None:
    found = cover(list(enumerate(asked)), list(enumerate(supplies)))

    given = {n: sum(share.quantity for share in found[n].from_supplies) for n in found}
    assert all(given[n] + found[n].missing == asked[n] for n in found)
    assert sum(given.values()) == min(sum(asked), sum(supplies))
    short = [n for n in found if found[n].missing]
    assert not short or all(given[n] == 0 for n in found if n > short[0])


def test_hand_counted_examples() -> None:
    assert whole_packs(Decimal(9), Decimal(4)) == 12
    assert whole_packs(Decimal("0.3"), Decimal("0.25")) == Decimal("0.5")
    assert to_order(wanted=Decimal(16), free=Decimal(3), on_order=Decimal(5), pack_size=Decimal(5)) == 10
