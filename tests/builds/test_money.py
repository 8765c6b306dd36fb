"""Money adds up to the cent."""

from dataclasses import dataclass
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds import money

AMOUNTS = st.decimals(0, 100_000, places=2)


@dataclass
class Line:
    amount: Decimal
    returnable: bool = True


@given(AMOUNTS, st.integers(1, 12))
def test_shares_add_up_and_differ_by_a_cent(amount, parts):
    shares = money.shared(amount, parts)
    assert sum(shares) == amount
    assert max(shares) - min(shares) <= money.CENT


@given(AMOUNTS, st.decimals(0, 30, places=2))
def test_net_and_tax_add_up(amount, rate):
    net, tax = money.tax_split(amount, rate)
    assert net + tax == amount
    assert abs(money.rounded(net * rate / 100) - tax) <= money.CENT


def test_tax_split_worked_example():
    """119.00 at 19 per cent is 100.00 and 19.00 by hand."""
    assert money.tax_split(Decimal("119.00"), Decimal(19)) == (Decimal("100.00"), Decimal("19.00"))


def test_half_a_cent_goes_up():
    assert money.rounded(Decimal("0.125")) == Decimal("0.13")


@given(st.lists(st.tuples(AMOUNTS, st.booleans()), max_size=6), AMOUNTS, st.integers(0, 100))
def test_deposit_stays_between_bespoke_parts_and_total(rows, labour, percentage):
    lines = [Line(*row) for row in rows]
    total = sum((line.amount for line in lines), labour)
    amount, why = money.deposit(total, lines, Decimal(percentage))
    bespoke = sum(line.amount for line in lines if not line.returnable)
    assert bespoke <= amount <= total
    assert amount in (total, bespoke, money.rounded(total * percentage / 100))
    assert why


@pytest.mark.parametrize(("bespoke", "expected"), [("100", "300.00"), ("500", "500.00"), ("1000", "1000")])
def test_deposit_cases(bespoke, expected):
    lines = [Line(Decimal(bespoke), returnable=False)]
    assert money.deposit(Decimal(1000), lines, Decimal(30))[0] == Decimal(expected)
