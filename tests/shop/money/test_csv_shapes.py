"""CSV as banks write it: one table of shapes, each read to the same movements.

The shapes are common practice, no source: the columns, marks and encodings that European banks export,
with invented people and amounts.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from shop.money.statements.csv_file import read_csv
from shop.money.statements.csv_layout import ChoiceNeededError, Layout
from shop.money.statements.entries import Statement, StatementError
from shop.money.statements.headings import guess, plain, signature

IN, OUT = Decimal("1234.50"), Decimal("-12.05")


def one(data: bytes, layout: Layout | None = None, currency: str = "EUR") -> Statement:
    """Return the statement of a file of one account."""
    (found,) = read_csv(data, currency=currency, layout=layout)
    return found


SHAPES = {
    "our own columns": (
        "date;amount;name;text\n2026-03-31;1234,50;Ida Sommer;Deposit\n2026-04-01;-12,05;Achsteil;Bill\n",
        "utf-8",
    ),
    "German, preamble, signed, closing delimiter": (
        "Kontoinhaber;Werkhof;\nZeitraum;März 2026;\n;;\n"
        "Buchungstag;Beguenstigter/Zahlungspflichtiger;Verwendungszweck;Betrag;Waehrung;\n"
        "31.03.26;Ida Sommer;Deposit;1.234,50;EUR;\n01.04.26;Achsteil;Bill;-12,05;EUR;\n",
        "cp1252",
    ),
    "debit and credit columns": (
        "Date,Description,Counterparty,Paid out,Paid in,Balance\n"
        '31/03/2026,Deposit,Ida Sommer,,"1,234.50","2,000.00"\n01/04/2026,Bill,Achsteil,12.05,,"1,987.95"\n',
        "utf-8",
    ),
    "debit column already negative": (
        "Buchungsdatum;Name;Verwendungszweck;Soll;Haben\n"
        "31.03.2026;Ida Sommer;Deposit;;1.234,50\n01.04.2026;Achsteil;Bill;-12,05;0,00\n",
        "utf-8-sig",
    ),
    "S/H in a column": (
        "Buchungstag|Name|Verwendungszweck|Umsatz|Soll/Haben\n"
        "31.03.2026|Ida Sommer|Deposit|1.234,50|H\n01.04.2026|Achsteil|Bill|12,05|S\n",
        "utf-8",
    ),
    "S/H behind the amount": (
        "Datum;Name;Text;Betrag\n31.3.2026;Ida Sommer;Deposit;1.234,50 H\n1.4.2026;Achsteil;Bill;12,05 S\n",
        "utf-8",
    ),
    "minus behind, narrow spaces": (
        "Datum;Name;Text;Betrag\n31.03.2026;Ida Sommer;Deposit;1\u202f234,50\n"
        "01.04.2026;Achsteil;Bill;12,05-\n",
        "utf-8",
    ),
    "sep= and no-break spaces, currency in the cell": (
        "sep=;\nDatum;Name;Text;Betrag (€)\n31.03.2026;Ida Sommer;Deposit;1\u00a0234,50 €\n"
        "01.04.2026;Achsteil;Bill;\u221212,05 EUR\n",
        "utf-8-sig",
    ),
    "UTF-16 with a mark, tabs": (
        "Datum\tName\tText\tBetrag\n31.03.2026\tIda Sommer\tDeposit\t1234,50\n"
        "01.04.2026\tAchsteil\tBill\t-12,05\n",
        "utf-16",
    ),
    "UTF-16 without a mark": (
        "Datum;Name;Text;Betrag\r\n31.03.2026;Ida Sommer;Deposit;1234,50\r\n"
        "01.04.2026;Achsteil;Bill;-12,05\r\n",
        "utf-16-le",
    ),
    "Swiss apostrophes, year first": (
        "Datum;Name;Text;Betrag\n2026-03-31;Ida Sommer;Deposit;1’234.50\n2026-04-01;Achsteil;Bill;-12.05\n",
        "utf-8",
    ),
    "days without marks, months by name": (
        "Booking date,Name,Details,Amount\n20260331,Ida Sommer,Deposit,1234.50\n"
        "1 Apr 2026,Achsteil,Bill,-12.05\n",
        "utf-8",
    ),
    "month first, told by the column": (
        "Date,Name,Memo,Amount\n03/31/2026,Ida Sommer,Deposit,1234.50\n04/01/2026,Achsteil,Bill,-12.05\n",
        "utf-8",
    ),
    "two columns of names": (
        '"Buchungsdatum";"Zahlungspflichtige*r";"Zahlungsempfänger*in";"Verwendungszweck";"Betrag (€)"\n'
        '"31.03.26";"Ida Sommer";"Werkhof";"Deposit";"1.234,50"\n'
        '"01.04.26";"Werkhof";"Achsteil";"Bill";"-12,05"\n',
        "utf-8-sig",
    ),
    "a closing line with the balance": (
        "Datum;Name;Text;Betrag\n31.03.2026;Ida Sommer;Deposit;1234,50\n01.04.2026;Achsteil;Bill;-12,05\n"
        "\nKontostand am 01.04.2026: 1.222,45\n",
        "utf-8",
    ),
}


@pytest.mark.parametrize(("text", "encoding"), SHAPES.values(), ids=SHAPES)
def test_every_shape_is_read_to_the_same_movements(text: str, encoding: str) -> None:
    found = one(text.encode(encoding))

    assert [(e.booked_on, e.amount, e.currency, e.other_name, e.text) for e in found.entries] == [
        (date(2026, 3, 31), IN, "EUR", "Ida Sommer", "Deposit"),
        (date(2026, 4, 1), OUT, "EUR", "Achsteil", "Bill"),
    ]


def test_what_is_no_movement_is_listed_and_not_lost() -> None:
    text, encoding = SHAPES["a closing line with the balance"]

    assert one(text.encode(encoding)).passed_over == ("5: Kontostand am 01.04.2026: 1.222,45",)


def test_a_row_longer_than_the_heading_is_refused() -> None:
    """A decimal comma in a file parted by commas once read as whole euros."""
    with pytest.raises(StatementError, match="row 2: It has 3 cells, the heading 2"):
        read_csv(b"date,amount\n31.03.2026,1,50\n", currency="EUR")


def test_the_iban_above_the_heading_is_the_account() -> None:
    data = b"IBAN;NL91 ABNA 0417 1643 00\n\nDatum;Betrag\n31.03.2026;1,50\n"

    assert one(data).account == "NL91ABNA0417164300"


def test_accounts_in_one_file_are_told_apart() -> None:
    data = b"date;amount;account\n2026-02-01;1,50;DE1\n2026-02-01;2,50;DE2\n2026-02-02;3,50;DE1\n"

    found = {one.account: [e.amount for e in one.entries] for one in read_csv(data, currency="EUR")}

    assert found == {"DE1": [Decimal("1.50"), Decimal("3.50")], "DE2": [Decimal("2.50")]}


def test_an_order_of_days_that_nothing_tells_is_asked() -> None:
    data = b"Date;Amount\n03/04/2026;1,50\n05/06/2026;2,50\n"

    with pytest.raises(ChoiceNeededError) as caught:
        read_csv(data, currency="EUR")

    assert caught.value.choice == "day_order"
    told = {order: one(data, Layout(day_order=order)).entries[0].booked_on for order in ("dmy", "mdy")}
    assert told == {"dmy": date(2026, 4, 3), "mdy": date(2026, 3, 4)}


def test_columns_that_nothing_tells_are_asked_and_then_chosen() -> None:
    data = b"Wann;Wieviel;Wer\n31.03.2026;1,50;Ida\n"

    with pytest.raises(ChoiceNeededError) as caught:
        read_csv(data, currency="EUR")

    assert caught.value.choice == "columns"
    layout = Layout("Hofbank", {"date": ["wann"], "amount": ["wieviel"], "name": ["wer"]})
    found = one(data, layout)
    assert (found.format, found.entries[0].other_name) == ("CSV Hofbank", "Ida")


def test_a_chosen_decimal_mark_reads_what_could_be_read_two_ways() -> None:
    data = b"date;amount\n2026-03-31;1,234\n"

    with pytest.raises(StatementError, match="two ways"):
        read_csv(data, currency="EUR")
    assert one(data, Layout(decimal_mark=".")).entries[0].amount == 1234


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"Datum;Soll;Haben\n31.03.2026;1,00;2,00\n", "both there"),
        (b"Datum;Betrag;S/H\n31.03.2026;1,00;X\n", "neither in nor out"),
        (b"Datum;Betrag\n31.13.2026;1,00\n", "is not a day"),
        (b"Datum;Betrag\n13/01/2026;1,00\n01/13/2026;1,00\n", "begins with the day and row 3 with the month"),
        (b"Datum;Betrag\n31.03.2026;--1,00\n", "is not an amount"),
        (b"Datum;Betrag\n31.03.2026;-1,00-\n", "is not an amount"),
        (b"Datum;Betrag\n31.03.2026;-1,00 S\n", "is not an amount"),
        (b"Datum;Betrag;Waehrung\n31.03.2026;1,00;EURO\n", "not a code"),
    ],
)
def test_faults_of_banks_files_name_row_and_column(data: bytes, message: str) -> None:
    with pytest.raises(StatementError, match=message):
        read_csv(data, currency="EUR")


def test_a_heading_is_known_whatever_its_case_and_brackets() -> None:
    assert plain("Betrag (€)") == plain("BETRAG") == "betrag"
    assert signature(["Datum", "Betrag (EUR)"]) == signature(["datum ", "BETRAG"])
    assert signature(["Datum", "Betrag"]) != signature(["Betrag", "Datum"])


def test_of_two_columns_for_one_field_the_likelier_is_taken() -> None:
    assert guess(["Valutadatum", "Buchungstag", "Betrag", "Buchungstext", "Verwendungszweck"]) == {
        "date": (1,),
        "amount": (2,),
        "text": (4, 3),
    }
