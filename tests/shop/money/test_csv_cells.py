"""Amounts and days however banks write them, and which mark or order a column tells."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.money.statements.cells import day_order, decimal_mark, parse_amount, parse_day

marks = st.sampled_from(
    [(",", "."), (".", ","), (",", "\u202f"), (".", "\u2019"), (",", "\u00a0"), (",", " ")]
)


written = st.sampled_from(["-{}", "{}-", "{} S", "{}S", "{}- EUR", "-€ {}", "EUR -{}", "\u2212{} \u20ac"])


@given(st.decimals("0.01", "9999999.99", places=2), marks, written)
def test_every_amount_that_went_out_survives_every_way_of_writing(
    amount: Decimal, mark: tuple[str, str], form: str
) -> None:
    point, group = mark
    text = f"{amount:,.2f}".replace(",", "#").replace(".", point).replace("#", group)

    assert parse_amount(form.format(text), point) == -amount


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.sampled_from("./-"))
def test_every_day_survives_every_way_of_writing(day: date, mark: str) -> None:
    for order, pattern in (("dmy", "%d{0}%m{0}%Y"), ("dmy", "%d{0}%m{0}%y"), ("mdy", "%m{0}%d{0}%Y")):
        if mark == "." and order == "mdy":
            continue
        cell = day.strftime(pattern.format(mark))
        assert parse_day(cell, order) == day
        assert day_order([(1, cell)]) in (order, "", "dmy" if day.day == day.month or mark == "." else order)
    assert parse_day(day.isoformat(), "mdy") == parse_day(day.strftime("%Y%m%d"), "mdy") == day


@given(st.lists(st.decimals("-99999.99", "99999.99", places=2), min_size=1), st.sampled_from(",."))
def test_a_column_with_cents_tells_its_decimal_mark(amounts: list[Decimal], mark: str) -> None:
    assert decimal_mark((i, f"{amount:.2f}".replace(".", mark)) for i, amount in enumerate(amounts)) == mark


@pytest.mark.parametrize(
    ("cell", "mark", "amount"),
    [
        ("\t12,50\t", ",", "12.50"),
        ("\u201312,50", ",", "-12.50"),
        ("12,50 D", ",", "-12.50"),
        ("12.50CR", ".", "12.50"),
        ("USD 1,234,567.00", ".", "1234567.00"),
        ("1,234,567", "", "1234567"),
        ("1.234,50", "", "1234.50"),
        ("1,234.50", "", "1234.50"),
        ("+7", "", "7"),
    ],
)
def test_amounts_as_banks_dress_them(cell: str, mark: str, amount: str) -> None:
    assert parse_amount(cell, mark) == Decimal(amount)


@pytest.mark.parametrize(
    ("cell", "mark", "message"),
    [
        ("1,234", "", "^can be read in two ways: write two decimals$"),
        ("1,2,3", ",", "^has two decimal marks$"),
        ("1,23.4", ",", "^has a thousands mark behind the decimal mark$"),
        ("1234.567,00", ",", "^has thousands marks in the wrong places$"),
        (".234,00", ",", "^is not an amount$"),
        ("1.23,50", ",", "^has thousands marks in the wrong places$"),
        ("1.2345,50", ",", "^has thousands marks in the wrong places$"),
        ("twelve", "", "^is not an amount$"),
        ("", "", "^is not an amount$"),
        ("12,50 X", ",", "^is not an amount$"),
        ("12,505", ",", "^has fractions of a cent$"),
        ("99999999999", "", "^is not an amount this account can have$"),
    ],
)
def test_what_is_wrong_with_an_amount_is_said(cell: str, mark: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        parse_amount(cell, mark)


@pytest.mark.parametrize(
    ("cell", "order", "day"),
    [
        ("31.03.26", "mdy", date(2026, 3, 31)),
        ("3/4/26", "dmy", date(2026, 4, 3)),
        ("3-4-2026", "mdy", date(2026, 3, 4)),
        ("2026/3/31", "dmy", date(2026, 3, 31)),
        ("2026-03-31T23:15:00", "mdy", date(2026, 3, 31)),
        ("31.03.2026 14:05", "dmy", date(2026, 3, 31)),
        (" 31-Mar-2026 ", "mdy", date(2026, 3, 31)),
        ("5. Mai 26", "dmy", date(2026, 5, 5)),
        ("1. Dez. 2026", "dmy", date(2026, 12, 1)),
        ("7 Mrz 2026", "dmy", date(2026, 3, 7)),
    ],
)
def test_days_as_banks_write_them(cell: str, order: str, day: date) -> None:
    assert parse_day(cell, order) == day


@pytest.mark.parametrize(
    "cell", ["", "soon", "31.02.2026", "13/13/2026", "31 Foo 2026", "20261301", "1.1.126", "3.4/2026"]
)
def test_what_is_no_day_is_said(cell: str) -> None:
    with pytest.raises(ValueError, match=r"^is not a day such as 2026-03-31 or 31\.03\.2026$"):
        parse_day(cell)


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["03/04/2026"], ""),
        (["03/04/2026", "13/04/2026"], "dmy"),
        (["03/04/2026", "04/13/2026"], "mdy"),
        (["04/04/2026"], "dmy"),
        (["12/12/2026"], "dmy"),
        (["03.04.2026"], "dmy"),
        (["2026-03-04"], "dmy"),
        (["soon"], "dmy"),
    ],
)
def test_the_order_of_days_is_told_by_the_column_or_not(cells: list[str], order: str) -> None:
    assert day_order(enumerate(cells, 2)) == order
