"""What a statement tells is kept whole, and what is wrong with it is said with its place and in bounds."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from shop.money.ledger import PaymentError
from shop.money.selectors import entry_counts
from shop.money.statements import matching
from shop.money.statements.camt import read_camt
from shop.money.statements.cells import decimal_mark
from shop.money.statements.csv_file import read_csv
from shop.money.statements.deciding import Act, decide
from shop.money.statements.entries import MAX_BYTES, BankEntry, StatementError
from shop.money.statements.importing import import_statement, preview
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


@pytest.mark.django_db
def test_money_that_comes_back_in_is_looked_at_by_a_person() -> None:
    make_workshop()
    entry = BankEntry(timezone.localdate(), Decimal("5.00"), "EUR", is_reversal=True)

    assert (decide(entry).act, decide(entry).reason) == (Act.ASK, "came_back")


@pytest.mark.parametrize(("sign", "code"), [("€", "EUR"), ("£", "GBP"), ("$", "USD")])
def test_the_sign_of_a_currency_is_read_as_its_code(sign: str, code: str) -> None:
    """ISO 4217."""
    (one,) = read_csv(f"date;amount;currency\n2026-03-31;1,50;{sign}\n".encode(), currency="CHF")
    assert one.entries[0].currency == code


@pytest.mark.parametrize("name", ["date", "amount"])
def test_a_column_that_is_there_twice_is_named_with_its_row(name: str) -> None:
    data = f"date;amount;{name};text\n2026-03-31;1,50;1,60;x\n".encode()
    assert faults(read_csv, data, currency="EUR") == [("row 1", f"The column “{name}” is there twice.")]


def test_columns_of_money_out_and_in_that_stand_twice_are_named() -> None:
    for name, other in (("debit", "credit"), ("credit", "debit")):
        data = f"date;{name};{other};{name}\n2026-03-31;1,50;;\n".encode()
        assert faults(read_csv, data, currency="EUR") == [("row 1", f"The column “{name}” is there twice.")]


@pytest.mark.django_db
def test_what_may_be_a_known_movement_waits_says_which_and_is_one_of_its_own_if_so_decided() -> None:
    make_workshop()
    job = due()
    read(transfer("300.00", text="deposit", bank_reference="B1"), number="1")
    (doubt,) = read(transfer("300.00", text=reference(job), bank_reference="B1"), number="2")

    assert (doubt.state, doubt.reason, doubt.said) == (
        "doubt", "doubt", "May be the movement that 1.xml told",
    )  # fmt: skip
    assert job.payments.count() == 0

    settled = matching.another_movement(entry_id=doubt.pk)

    assert (settled.state, settled.said) == ("matched", "by reference")
    assert job.payments.get().amount == 300
    assert matching.another_movement(entry_id=doubt.pk).state == "matched"
    assert job.payments.count() == 1


@pytest.mark.django_db
def test_of_two_that_may_be_one_the_other_answer_is_kept_with_its_file() -> None:
    make_workshop()
    read(transfer("7.00", text="one", bank_reference="B1"), number="1")
    (same,) = read(transfer("7.00", text="two", bank_reference="B1"), number="2")
    (other,) = read(transfer("7.00", text="three", bank_reference="B1"), number="3")

    assert matching.same_movement(entry_id=same.pk).said == "the same as in 1.xml"
    matching.another_movement(entry_id=other.pk)
    assert again(other).said in ("No known reference", "another one than in 1.xml")


@pytest.mark.django_db
def test_looking_at_a_file_tells_that_it_was_read_already() -> None:
    make_workshop()
    data = statement(transfer("7.00"))

    assert preview(data).before is None
    file = import_statement(name="a", data=data).file
    assert (preview(data).before, preview(data).new) == (file, 0)


@pytest.mark.django_db
def test_what_is_set_aside_keeps_its_note_and_what_is_settled_stays() -> None:
    make_workshop()
    (entry,) = read(transfer("7.00"))

    matching.set_aside(entry_id=entry.pk, note=" the landlord's ")
    kept = again(entry)
    assert (kept.state, kept.reason, kept.note) == ("set aside", "aside", "the landlord's")
    matching.set_aside(entry_id=entry.pk, note="once more")
    assert again(entry).note == "the landlord's"


@pytest.mark.django_db
def test_the_movements_of_a_file_are_counted_by_their_state() -> None:
    make_workshop()
    job = due()
    entry, _other = read(transfer("7.00", text="x"), transfer("300.00", reference=reference(job)))

    counts = entry_counts([entry.file])[entry.file_id]
    assert {name: n for name, n in counts.items() if n} == {"open": 1, "matched": 1}
    assert set(counts) >= {"open", "matched", "set_aside", "doubt", "known"}


@pytest.mark.parametrize(("word", "digit"), [("true", "1"), ("false", "0")])
def test_whose_money_a_reversal_was_is_told_alike_by_word_and_digit(word: str, digit: str) -> None:
    """XML Schema Part 2, 3.2.2."""
    both = "<Dbtr><Pty><Nm>Ada</Nm></Pty></Dbtr><Cdtr><Pty><Nm>Ben</Nm></Pty></Cdtr>"
    entry = transfer("5.00", details=f"<TxDtls><RltdPties>{both}</RltdPties></TxDtls>", reversal=True)
    told, digits = (statement(entry.replace("Ind>true<", f"Ind>{one}<")) for one in (word, digit))
    assert read_camt(told) == read_camt(digits)
    assert read_camt(told)[0].entries[0].other_name == {"true": "Ben", "false": "Ada"}[word]


def test_a_long_fraction_is_told_by_its_beginning() -> None:
    data = statement(transfer("1.00").replace(">1.00<", f">1.{'3' * 50}<", 1))
    ((where, said),) = faults(read_camt, data)
    assert (where, said.partition(" ")[0]) == ("Stmt[1]/Ntry[1]/Amt", f"“1.{'3' * 38}”")


def test_mt940_without_a_statement_is_refused_at_its_beginning() -> None:
    assert faults(read_mt940, b"words alone") == [(":20:", "There is no statement in this file.")]


def test_mt940_words_beyond_the_usual_lines_are_read_too() -> None:
    """Tag 86 as German banks structure it: ?20 to ?29, and ?60 to ?63 where those are full."""
    lines = "".join(f"?{20 + n}part {n} " for n in range(10))
    rows = f":61:2603310331CR3,00NTRFNONREF\n:86:166?00GUTSCHRIFT{lines}?60and the rest?32IDA\n"
    (one,) = read_mt940(FAULTY.format(rows=rows).replace("EUR0,00\n-", "EUR3,00\n-").encode())
    assert "part 0" in one.entries[0].text
    assert "and the rest" in one.entries[0].text
