"""What a statement tells is kept whole, and what is wrong with it is said with its place and in bounds."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from shop.money.ledger import PaymentError
from shop.money.statements import matching
from shop.money.statements.camt import read_camt
from shop.money.statements.cells import decimal_mark
from shop.money.statements.csv_file import read_csv
from shop.money.statements.deciding import Act, decide
from shop.money.statements.entries import MAX_BYTES, BankEntry, StatementError
from shop.money.statements.importing import import_statement
from shop.money.statements.mt940_file import read_mt940

from .camt_samples import IBAN, statement, transfer
from .transfers import again, due, make_workshop, read, reference

WHOLE = (
    "date;amount;currency;name;iban;reference;text;bank_reference;account\n"
    "2026-03-31;12,50;chf; Ida  Sommer ;de89 3704 0044 0532 0130 00;RF58KL000042;for the van;B-1;nl91 abna\n"
)
FAULTY = ":20:A\n:25:1234567890\n:28C:1/1\n:60F:C260330EUR0,00\n{rows}:62F:C260331EUR0,00\n-\n"


def faults(call, *args, **options) -> list[tuple[str, str]]:
    with pytest.raises(StatementError) as refusal:
        call(*args, **options)
    return [(fault.where, fault.message) for fault in refusal.value.faults]


def test_a_row_of_our_own_columns_is_read_whole() -> None:
    (one,) = read_csv(WHOLE.encode(), currency="EUR")

    assert one.account == "NL91ABNA"
    assert one.entries == (
        BankEntry(
            date(2026, 3, 31),
            Decimal("12.50"),
            "CHF",
            other_name="Ida Sommer",
            other_iban="DE89370400440532013000",
            reference="RF58KL000042",
            text="for the van",
            bank_reference="B-1",
        ),
    )


def test_a_column_with_both_marks_is_named() -> None:
    assert faults(decimal_mark, [(2, "1.50"), (3, "1,50")]) == [
        ("column amount", "Row 2 has a decimal point and row 3 a decimal comma.")
    ]


@pytest.mark.parametrize("reader", [read_camt, read_mt940])
def test_a_file_beyond_all_statements_is_refused_by_its_size(reader) -> None:
    assert faults(reader, b"<" + b" " * MAX_BYTES) == [("", "The file is larger than 8 MB.")]


def test_a_long_cell_is_told_by_its_beginning() -> None:
    data = statement(transfer("1.00").replace(">1.00<", f">{'9' * 30}{'x' * 30}<", 1))
    assert faults(read_camt, data) == [("Stmt[1]/Ntry[1]/Amt", f"“{'9' * 30}{'x' * 10}” is not an amount.")]


@pytest.mark.parametrize(
    ("told", "is_reversal"), [("true", True), ("1", True), ("false", False), ("0", False)]
)
def test_a_reversal_is_told_by_either_word_for_yes(told: str, is_reversal: bool) -> None:
    """XML Schema Part 2, 3.2.2: a boolean is true, false, 1 or 0."""
    data = statement(transfer("5.00", reversal=True)).replace(b"Ind>true<", f"Ind>{told}<".encode())
    assert read_camt(data)[0].entries[0].is_reversal is is_reversal


def test_mt940_says_in_which_statement_and_row_it_goes_wrong() -> None:
    rows = ":61:2603310331CR3,00NTRFNONREF\n:61:2603310331CR3,005NTRFNONREF\n"
    (fault,) = faults(read_mt940, FAULTY.format(rows=rows).encode())
    assert fault[0] == "statement 1, :61: 2"


@pytest.mark.django_db
def test_a_row_that_is_no_movement_is_kept_as_left_out() -> None:
    make_workshop()
    data = b"date;amount;text\n2026-03-31;5,00;x\n;;closing balance 5,00\n"

    file = import_statement(name="march.csv", data=data).file

    assert file.left_out == [{"what": "row", "row": "3: closing balance 5,00"}]
    assert file.left_out_words == ["row 3: closing balance 5,00"]


@pytest.mark.django_db
def test_a_movement_of_nothing_went_neither_in_nor_out() -> None:
    make_workshop()
    entry = BankEntry(timezone.localdate(), Decimal("0.00"), "EUR", text="interest rate from April")

    assert (decide(entry).act, decide(entry).reason) == (Act.ASK, "no_reference")


@pytest.mark.django_db
def test_what_a_person_matched_says_so_and_other_money_is_not_matched_at_all() -> None:
    make_workshop()
    job = due()
    (plain,) = read(transfer("300.00", text="for the van"))
    (francs,) = read(transfer("300.00", reference=reference(job), currency="CHF"), number="2")

    with pytest.raises(PaymentError, match=r"^It is in CHF, the workshop reckons in EUR\.$"):
        matching.match_by_hand(entry_id=francs.pk, job_id=job.pk, by=None)
    matching.match_by_hand(entry_id=plain.pk, job_id=job.pk, by=None)

    assert (again(plain).state, again(plain).said) == ("matched", "by hand")
    assert plain.file.account == IBAN
