"""CSV in our own columns: read in every dress, and every fault named by row and column."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.money.statements.cells import parse_amount
from shop.money.statements.entries import StatementError

from .camt_samples import IBAN
from .readers import read_csv

CSV = """date;amount;name;text;bank reference;account
31.03.2026;300,00;Ida Sommer;"Deposit; RF58 KL00 0042";B1;NL91 ABNA 0417 1643 00

01.04.2026;-1.012,50;Achs;Rechnung 7;B2;NL91ABNA0417164300
"""


def test_csv_with_semicolons_and_decimal_commas() -> None:
    found = read_csv(CSV.encode(), currency="EUR")

    assert found.account == IBAN
    assert [(e.booked_on, e.amount, e.currency, e.text) for e in found.entries] == [
        (date(2026, 3, 31), Decimal("300.00"), "EUR", "Deposit; RF58 KL00 0042"),
        (date(2026, 4, 1), Decimal("-1012.50"), "EUR", "Rechnung 7"),
    ]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_csv_in_every_dress(delimiter: str, encoding: str) -> None:
    text = "Date,AMOUNT,Currency,Name\r\n2026-03-31,300.00,eur,Jürgen\r\n".replace(",", delimiter)

    (entry,) = read_csv(text.encode(encoding), currency="CHF").entries

    assert (entry.amount, entry.currency, entry.other_name) == (300, "EUR", "Jürgen")


@pytest.mark.parametrize(
    ("cell", "mark", "amount"),
    [
        ("1,234.56", ".", "1234.56"),
        ("1.234,56", ",", "1234.56"),
        ("1'234.50", ".", "1234.50"),
        ("1 234,50", ",", "1234.50"),
        ("1.234.567", "", "1234567"),
        ("12-", "", "-12"),
        ("+12", "", "12"),
        ("−12,5", ",", "-12.50"),
        (",50", ",", "0.50"),
        ("0", "", "0"),
    ],
)
def test_amounts(cell: str, mark: str, amount: str) -> None:
    assert parse_amount(cell, mark) == Decimal(amount)


@given(st.decimals("-9999999.99", "9999999.99", places=2), st.sampled_from([".,", ",."]))
def test_every_amount_survives_either_notation(amount: Decimal, marks: str) -> None:
    point, group = marks
    text = f"{amount:,.2f}".replace(",", "#").replace(".", point).replace("#", group)
    data = f"date;amount\n2026-01-01;{text}\n".encode()

    assert read_csv(data, currency="EUR").entries[0].amount == amount


FAULTS = [
    (b"", "empty"),
    (b"\x00\x01", "not a text file"),
    (b"date amount\n", "No comma"),
    (b"day;sum\n1;2\n", "row 1: The column .date. is missing"),
    (b"date;amount;amount\n", "there twice"),
    (b"date;amount\n", "row 2: There is no row"),
    (b"date;amount\n2026-02-30;1,00\n", "row 2, column date: .2026-02-30. is not a day"),
    (b"date;amount\n2026-02-01;1,00\n2026-02-02;abc\n", "row 3, column amount: .abc. is not an amount"),
    (b"date;amount\n2026-02-01;1,234\n", "two ways"),
    (b"date;amount\n2026-02-01;1,50\n2026-02-01;1.50\n", "decimal point and row 2 a decimal comma"),
    (b"date;amount\n2026-02-01;1.23,50\n", "wrong places"),
    (b"date;amount\n2026-02-01;\n", "Nothing is there"),
    (b"date;amount;currency\n2026-02-01;1,00;EURO\n", "not a code"),
    (b'date;amount\n"2026-02-01;1,00\n', "stray quotation mark"),
]


@pytest.mark.parametrize(("data", "message"), FAULTS)
def test_csv_faults_name_row_and_column(data: bytes, message: str) -> None:
    with pytest.raises(StatementError, match=message):
        read_csv(data, currency="EUR")


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(StatementError) as caught:
        read_csv(b"date;amount\nx;y\n2026-01-01;z\n", currency="EUR")

    assert [fault.where for fault in caught.value.faults] == [
        "row 2, column date",
        "row 2, column amount",
        "row 3, column amount",
    ]
