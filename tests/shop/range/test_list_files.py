"""Price lists as suppliers send them, whatever parts their columns, encodes and writes their figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.range.list_cells import ListError, heading_and_rows, usual_mark
from shop.range.list_reckoning import decimal_mark, number

HEADING = ["Artikelnummer", "Bezeichnung", "Preis"]
ROWS = [["A1", "Rad 8,5x18, 5x112, ET45, schwarz", "12,50"], ["A2", "Reifen 225/50, XL", "1.234,00"]]


def text_of(mark: str = ";", top: str = "") -> str:
    lines = [mark.join(row) for row in (HEADING, *ROWS)]
    return top + "\r\n".join(lines) + "\r\n"


@pytest.mark.parametrize(
    "data",
    [
        text_of().encode("utf-8-sig"),
        text_of().encode("cp1252"),
        text_of("\t").encode("utf-16"),  # "Unicode text" of a spreadsheet
        text_of("\t").encode("utf-16-le"),
        text_of(top="sep=;\r\n").encode(),
        text_of("|", top="Preisliste, gültig ab 1.1., alle Preise netto, in Euro\r\n").encode(),
    ],
    ids=["utf-8 with a mark", "Windows", "UTF-16", "UTF-16 without a mark", "sep", "bars under a sentence"],
)
def test_columns_are_found_though_texts_and_prices_hold_more_commas(data: bytes) -> None:
    (_number, heading), rows = heading_and_rows(data)
    assert heading == HEADING
    assert [cells for _number, cells in rows] == ROWS


def test_the_heading_is_no_row_of_goods_though_cells_of_it_are_empty() -> None:
    """As of cells that were merged: a row of goods has more that is filled."""
    data = b"Nr;Was;;Netto;\r\nA1;Rad;schwarz;12,50 EUR;St\r\nA2;Rad;silber;13,50 EUR;St\r\n"
    (number, heading), rows = heading_and_rows(data)
    assert (number, heading) == (1, ["Nr", "Was", "", "Netto", ""])
    assert len(list(rows)) == 2


def test_two_columns_of_one_name_can_both_be_chosen() -> None:
    (_number, heading), _rows = heading_and_rows(b"Artikel;Preis;Preis\r\nA1;1,00;2,00\r\n")
    assert heading == ["Artikel", "Preis", "Preis (2)"]


@pytest.mark.parametrize(
    ("told", "mark", "value"),
    [
        ("12.50", ",", "12.50"),  # no thousands: it was 1,250 once
        ("1,234.50", ",", "1234.50"),
        ("1.234", ",", "1234"),
        ("1.234", ".", "1.234"),
        ("0.5", ",", "0.5"),
        ("1'234.50", ".", "1234.50"),
        ("1\u2019234.50 CHF", ".", "1234.50"),
        ("1 234,50 €", ",", "1234.50"),
        ("12.-", ".", "12"),
        ("12,-", ",", "12"),
        ("5-", ".", "-5"),
        ("(5,00)", ",", "-5.00"),
        ("\u22125", ".", "-5"),
        (",50", ",", "0.50"),
        ("100 Stk", ".", "100"),
    ],
)
def test_a_figure_is_what_its_writer_meant(told: str, mark: str, value: str) -> None:
    assert number(told, mark) == Decimal(value)


@pytest.mark.parametrize(
    "told", ["12,50/100", "3 for 10", "1.2.3", "1,23,4", "auf Anfrage", "12.34.567,8", ""]
)
def test_what_is_no_single_figure_is_none(told: str) -> None:
    assert number(told, ",") is None
    assert number(told, ".") is None


def test_where_no_price_tells_semicolons_say_that_a_point_parts_thousands() -> None:
    """A list of wheels in whole euros: 1.234 is not 1 euro 23."""
    assert usual_mark(b"Artikel;Preis\r\nA1;1.234\r\n") == ","
    assert usual_mark(b'Article,Price\r\nA1,"1,234"\r\n') == "."
    assert decimal_mark(["1.234", "899"], ",") == ","
    assert decimal_mark(["1.234", "899.00"], ",") == "."


def test_text_without_columns_is_refused() -> None:
    with pytest.raises(ListError) as refusal:
        heading_and_rows(b"Preise auf Anfrage\r\n")
    assert refusal.value.fault == "columns"
