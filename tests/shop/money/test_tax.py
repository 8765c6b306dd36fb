"""Net, tax and gross agree by EN 16931-1:2017: BR-CO-10, -13, -14, -15, -16 and -17."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.money.tax import Line, split, spread, worked_out

CENT = Decimal("0.01")
RATES = st.sampled_from([Decimal(rate) for rate in ("0", "5", "7", "8.1", "19", "20", "25", "27")])
CENTS = st.integers(0, 5_000_000).map(lambda cents: Decimal(cents) / 100)


@given(CENTS, RATES)
def test_the_tax_is_the_rounded_share_of_the_net_and_all_add_up(gross: Decimal, rate: Decimal) -> None:
    net, tax, rounding = split(gross, rate)

    assert tax == (net * rate / 100).quantize(CENT, ROUND_HALF_UP)  # BR-CO-17
    assert net + tax + rounding == gross
    assert abs(rounding) <= CENT


@given(CENTS, RATES)
def test_a_cent_is_left_over_only_where_no_net_amount_reaches_the_gross(
    gross: Decimal, rate: Decimal
) -> None:
    rounding = split(gross, rate)[2]
    about = (gross * 100 / (100 + rate)).quantize(CENT)
    reached = {
        net + (net * rate / 100).quantize(CENT, ROUND_HALF_UP)
        for net in (about + step * CENT for step in range(-5, 6))
    }
    assert (rounding == 0) == (gross in reached)


@pytest.mark.parametrize(
    ("gross", "net", "tax", "rounding"),
    # Worked by hand: 100.00 at 19 per cent is 84.03 + 15.97; no net amount at all reaches 0.03.
    [
        ("1190.00", "1000.00", "190.00", "0"),
        ("100.00", "84.03", "15.97", "0"),
        ("0.03", "0.03", "0.01", "-0.01"),
    ],
)
def test_worked_by_hand(gross: str, net: str, tax: str, rounding: str) -> None:
    assert split(Decimal(gross), Decimal(19)) == (Decimal(net), Decimal(tax), Decimal(rounding))


@given(st.lists(CENTS, min_size=1, max_size=8), st.lists(CENTS, max_size=3), RATES)
def test_lines_and_reductions_add_up_to_the_net(
    lines: list[Decimal], off: list[Decimal], rate: Decimal
) -> None:
    if sum(off) > sum(lines):
        return
    found = worked_out(
        [Line("x", "", gross) for gross in lines], [Line("y", "", gross) for gross in off], rate
    )

    assert sum(line.net for line in found.lines) - sum(line.net for line in found.reductions) == found.net
    assert found.gross == sum(lines) - sum(off)
    assert all(line.net >= 0 for line in found.lines)


def test_the_largest_remainders_get_the_cents_that_are_left() -> None:
    assert spread(Decimal("1.00"), [Decimal(1), Decimal(1), Decimal(1)]) == [
        Decimal("0.34"),
        Decimal("0.33"),
        Decimal("0.33"),
    ]
    assert spread(Decimal("1.00"), [Decimal(1), Decimal(2)]) == [Decimal("0.33"), Decimal("0.67")]
    assert spread(Decimal("0.05"), [Decimal(9), Decimal(1)]) == [Decimal("0.05"), Decimal("0.00")]
    assert spread(Decimal("5.00"), []) == []
