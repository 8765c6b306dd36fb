"""No payment twice, none dropped: overlapping statements in any order give the same movements."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.money.statements.entries import BankEntry
from shop.money.statements.identity import Kept, Verdict, recognise, servicer_reference

DAY = date(2026, 3, 30)
PLAIN = BankEntry(DAY, Decimal("300.00"), "EUR", "Ida Sommer", "DE89370400440532013000", text="deposit")


def verdicts(
    new: list[BankEntry], old: list[BankEntry], told_in: str = "A", kept_in: str = "A"
) -> list[Verdict]:
    kept = [Kept(index, kept_in, entry) for index, entry in enumerate(old)]
    return [one.verdict for one in recognise(new, told_in, kept)]


NEW, KNOWN, DOUBT = Verdict.NEW, Verdict.KNOWN, Verdict.DOUBT
CASES = {
    # name: (new, old, new's format, verdict)
    "the same": (PLAIN, PLAIN, "A", KNOWN),
    "another day": (replace(PLAIN, booked_on=DAY + timedelta(1)), PLAIN, "A", NEW),
    "another amount": (replace(PLAIN, amount=Decimal("300.01")), PLAIN, "A", NEW),
    "another currency": (replace(PLAIN, currency="CHF"), PLAIN, "A", NEW),
    "folded otherwise": (replace(PLAIN, text="Deposit  "), PLAIN, "A", KNOWN),
    "other words, same bank and format": (replace(PLAIN, text="second half"), PLAIN, "A", NEW),
    "other words in another format": (replace(PLAIN, text="DEPOSIT IDA"), PLAIN, "B", DOUBT),
    "one reference for two payers": (
        replace(PLAIN, bank_reference="B1", other_name="Otto Marten", other_iban="NL91ABNA0417164300"),
        replace(PLAIN, bank_reference="B1"),
        "A",
        NEW,
    ),
    "one reference for two payers named only": (
        replace(PLAIN, bank_reference="B1", other_name="Otto Marten", other_iban=""),
        replace(PLAIN, bank_reference="B1", other_iban=""),
        "A",
        NEW,
    ),
    "one reference, other words": (
        replace(PLAIN, bank_reference="B1", text="set right"),
        replace(PLAIN, bank_reference="B1"),
        "A",
        DOUBT,
    ),
    "references numbered anew": (
        replace(PLAIN, bank_reference="2"),
        replace(PLAIN, bank_reference="7"),
        "A",
        DOUBT,
    ),
    "references that differ, as do the words": (
        replace(PLAIN, bank_reference="2", text="second half"),
        replace(PLAIN, bank_reference="7"),
        "A",
        NEW,
    ),
    "one reference joins two formats": (
        replace(PLAIN, bank_reference="B1", text="", other_name=""),
        replace(PLAIN, bank_reference="b-1"),
        "B",
        KNOWN,
    ),
    "one reference in two formats, two payers": (
        replace(PLAIN, bank_reference="B1", other_iban="NL91ABNA0417164300"),
        replace(PLAIN, bank_reference="B1"),
        "B",
        NEW,
    ),
    "two payers in two formats": (
        replace(PLAIN, other_iban="NL91ABNA0417164300"),
        PLAIN,
        "B",
        NEW,
    ),
    "an account on one side only": (replace(PLAIN, other_iban="", text="x"), PLAIN, "B", DOUBT),
    "a name on one side only": (
        replace(PLAIN, other_iban="", other_name="", text="x"),
        replace(PLAIN, other_iban=""),
        "B",
        DOUBT,
    ),
    "a reversal of the same amount": (replace(PLAIN, is_reversal=True), PLAIN, "A", DOUBT),
}


@pytest.mark.parametrize(("new", "old", "told_in", "verdict"), CASES.values(), ids=CASES)
def test_one_movement_against_one_kept(
    new: BankEntry, old: BankEntry, told_in: str, verdict: Verdict
) -> None:
    assert verdicts([new], [old], told_in) == [verdict]
    assert verdicts([old], [new], "A", told_in) == [verdict]


@pytest.mark.parametrize("filler", ["", "NONREF", "NOTPROVIDED", "0000000", "not provided"])
def test_fillers_are_no_reference(filler: str) -> None:
    assert servicer_reference(replace(PLAIN, bank_reference=filler)) == ""


def test_equal_movements_are_counted_within_the_day() -> None:
    assert verdicts([PLAIN, PLAIN], []) == [NEW, NEW]
    assert verdicts([PLAIN, PLAIN], [PLAIN]) == [KNOWN, NEW]
    assert verdicts([PLAIN], [PLAIN, PLAIN]) == [KNOWN]
    assert verdicts([PLAIN] * 3, [PLAIN, PLAIN], "B") == [DOUBT, DOUBT, NEW]


def test_each_kept_movement_answers_for_one_only() -> None:
    told = [replace(PLAIN, bank_reference="B1"), replace(PLAIN, bank_reference="B2")]

    found = recognise(told, "B", [Kept(5, "A", told[1]), Kept(6, "A", told[0])])

    assert [(one.verdict, one.like) for one in found] == [(KNOWN, 6), (KNOWN, 5)]


people = st.sampled_from([("Ida Sommer", "DE1"), ("Otto Marten", "DE2"), ("Mia Kern", "")])
movement = st.builds(
    lambda day, amount, who, text, reference: BankEntry(
        DAY + timedelta(day), Decimal(amount), "EUR", *who, text=text, bank_reference=reference
    ),
    st.integers(0, 4),
    st.sampled_from([100, 300]),
    people,
    st.sampled_from(["", "deposit", "rest"]),
    st.sampled_from(["", "NONREF", "B1", "B2"]),
)


@given(
    st.lists(movement, max_size=12),
    st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=3),
)
def test_overlapping_files_in_any_order_give_the_same_movements(
    account: list[BankEntry], windows: list[tuple[int, int]]
) -> None:
    """One bank, one format, files of whole days: each movement is kept once, whatever comes first."""
    files = [
        [entry for entry in account if min(window) <= (entry.booked_on - DAY).days <= max(window)]
        for window in windows
    ]
    covered = [
        entry for entry in account if any(min(w) <= (entry.booked_on - DAY).days <= max(w) for w in windows)
    ]
    for order in permutations(files):
        kept: list[Kept] = []
        for file in order:
            found = recognise(file, "A", kept)
            assert Verdict.DOUBT not in {one.verdict for one in found}
            kept += [
                Kept(len(kept) + i, "A", one.entry)
                for i, one in enumerate(found)
                if one.verdict == Verdict.NEW
            ]
        assert Counter(one.entry for one in kept) == Counter(covered)


@pytest.mark.long
@given(st.lists(movement, max_size=10))
def test_a_second_format_never_books_what_the_first_told(account: list[BankEntry]) -> None:
    """What another format says again is known or asked about, never new: nothing is booked twice."""
    told = [replace(entry, text=f"{entry.text} /short", other_name=entry.other_name[:3]) for entry in account]

    assert Verdict.NEW not in verdicts(told, account, "B")
