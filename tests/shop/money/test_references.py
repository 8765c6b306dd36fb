"""Bank references against the published tables and against other libraries."""

from __future__ import annotations

import string
from pathlib import Path

import pytest
import schwifty
from hypothesis import assume, given
from hypothesis import strategies as st
from schwifty.exceptions import SchwiftyException
from stdnum import iban, iso11649

from shop.money.references import (
    find_references,
    in_fours,
    is_valid_reference,
    leads,
    make_reference,
    nearly_named,
)
from tests.tables import read_table

TABLE = read_table(Path(__file__).parent / "bank_references.csv")


@pytest.mark.parametrize("row", [row for row in TABLE if row["kind"] == "RF"], ids=lambda row: row["value"])
def test_iso_11649_table(row: dict[str, str]) -> None:
    assert is_valid_reference(row["value"]) == (row["status"] == "valid")


@pytest.mark.parametrize("row", [row for row in TABLE if row["kind"] == "IBAN"], ids=lambda row: row["value"])
def test_iso_13616_table_by_two_libraries(row: dict[str, str]) -> None:
    try:
        second = bool(schwifty.IBAN(row["value"]))
    except SchwiftyException:
        second = False

    assert iban.is_valid(row["value"], check_country=False) == second == (row["status"] == "valid")


@given(st.integers(1, 999_999_999))
def test_every_made_reference_is_valid_by_an_independent_library(job_id: int) -> None:
    reference = make_reference(job_id)

    assert iso11649.is_valid(reference)
    assert is_valid_reference(reference)
    # ISO 7064 MOD 97-10 once more, from the standard's words: letters are 10 to 35, remainder 1.
    assert int("".join(str(int(c, 36)) for c in reference[4:] + reference[:4])) % 97 == 1


@given(st.integers(1, 9_999_999), st.integers(1, 9_999_999))
def test_references_are_unique_per_job(one: int, other: int) -> None:
    assert (make_reference(one) == make_reference(other)) == (one == other)


LETTERS = string.ascii_uppercase
same_kind = st.integers(2, 11).flatmap(
    # Places 4 and 5 hold the mark's letters, all others digits.
    lambda place: st.tuples(st.just(place), st.sampled_from(LETTERS if place in (4, 5) else string.digits))
)


@given(st.integers(1, 999_999), same_kind)
def test_a_digit_for_a_digit_or_a_letter_for_a_letter_is_never_valid(
    job_id: int, change: tuple[int, str]
) -> None:
    """ISO 7064 MOD 97-10 finds every single wrong character as long as the number keeps its length.

    A letter counts as two digits (ISO 11649), so a letter for a digit changes the length and is found
    in 96 of 97 cases only; matching compares with known references and never trusts validity alone.
    """
    reference = make_reference(job_id)
    place, char = change
    wrong = reference[:place] + char + reference[place + 1 :]

    assert wrong == reference or not is_valid_reference(wrong)


@given(st.integers(1, 999_999), st.integers(6, 10))
def test_two_digits_changed_round_are_never_valid(job_id: int, place: int) -> None:
    """ISO 7064 MOD 97-10 finds every transposition of two digits side by side."""
    reference = make_reference(job_id)
    wrong = reference[:place] + reference[place + 1] + reference[place] + reference[place + 2 :]

    assert wrong == reference or not is_valid_reference(wrong)


def test_a_letter_for_a_digit_can_be_valid_and_names_no_job() -> None:
    """Why validity is not enough: this one has right check digits, and is no job's reference."""
    reference = make_reference(42)
    valid = [
        wrong
        for place in (*range(2, 4), *range(6, 12))
        for char in LETTERS
        if is_valid_reference(wrong := reference[:place] + char + reference[place + 1 :])
    ]

    assert valid
    assert all(find_references(wrong, {reference}) == [] for wrong in valid)
    assert all(nearly_named(wrong, [reference]) == [reference] for wrong in valid)


@given(
    st.integers(1, 999_999),
    st.integers(2, 11),
    st.sampled_from(LETTERS + string.digits),
    st.sampled_from(["{}", "deposit {} thanks", "SVWZ+{}"]),
)
def test_one_wrong_character_names_no_job_and_is_nearly_named(
    job_id: int, place: int, char: str, around: str
) -> None:
    reference = make_reference(job_id)
    others = [make_reference(job_id + step) for step in (1, 9, 10, 97, 970) if job_id + step < 1_000_000]
    wrong = around.format(reference[:place] + char + reference[place + 1 :])

    if char == reference[place]:
        assert find_references(wrong, [reference, *others]) == [reference]
    else:
        assert find_references(wrong, [reference, *others]) == []
        assert reference in nearly_named(wrong, [reference, *others])
        assert reference in leads(wrong)


@given(
    st.integers(1, 99_999_999),
    st.integers(0, 11),
    st.sampled_from(["less", "more", "round"]),
    st.integers(0, 9),
)
def test_a_slip_of_any_kind_leads_to_the_reference_it_nearly_names(
    job_id: int, place: int, slip: str, digit: int
) -> None:
    assume((slip, place) != ("round", 3))  # then neither check digits nor mark are there
    reference = make_reference(job_id)
    rest = reference[place:]
    wrong = {"less": rest[1:], "more": f"{digit}{rest}", "round": rest[1::-1] + rest[2:]}[slip]
    for around in ("{}", "deposit {} thanks"):
        text = around.format(reference[:place] + wrong)
        assert reference in leads(text) or nearly_named(text, [reference]) == []


@given(st.integers(1, 99_999), st.integers(0, 9))
def test_a_reference_that_runs_on_is_not_taken_for_a_shorter_one(job_id: int, digit: int) -> None:
    """A digit added by a slip could make the reference of another job; a person looks then."""
    reference = make_reference(job_id)

    assert find_references(f"{reference}{digit}", [reference]) == []
    assert nearly_named(f"{reference}{digit}", [reference]) == [reference]
    assert find_references(f"{reference} {digit}", [reference]) == [reference]


MESSES = [
    "{r}",
    "{lower}",
    "{spaced}",
    "Anzahlung {spaced} vielen Dank",
    "deposit for the van,{lower}.thanks",
    "SVWZ+{dashed}/EREF+NOTPROVIDED",
    "RF RF {r}",
    "1 {r} 9",
    "Ref.{r}Job 9",
    "{broken}",
]


@pytest.mark.parametrize("mess", MESSES)
def test_references_are_found_in_what_payers_type(mess: str) -> None:
    reference = make_reference(4711)
    text = mess.format(
        r=reference,
        lower=reference.lower(),
        spaced=in_fours(reference),
        dashed="-".join(reference),
        broken=f"{reference[:7]}\n{reference[7:]}",
    )

    assert find_references(text, {reference, make_reference(4712)}) == [reference]


@pytest.mark.long
@given(st.text(max_size=200))
def test_no_text_names_a_job_that_is_not_known(text: str) -> None:
    assert find_references(text, set()) == []
    assert set(find_references(text, {make_reference(5)})) <= {make_reference(5)}


def test_printed_in_groups_of_four() -> None:
    assert in_fours("RF58KL000042") == "RF58 KL00 0042"


SLIPS = {
    "one character missing": ("RF58KL00042", True),
    "one missing before more words": ("RF58KL00042 thanks", True),
    "one too many": ("RF58KL0000042", True),
    "one too many at the start": ("RFF58KL000042", True),
    "two changed round": ("RF58KL000024", True),
    "check digits changed round": ("RF85KL000042", True),
    "the mark changed round": ("RF58LK000042", True),
    "a letter for the prefix": ("XF58KL000042", True),
    "the last character missing": ("RF58KL00004", True),
    "nothing wrong, but it runs on": ("RF58KL0000427", True),
    "two wrong": ("RF59KL000041", False),
    "two missing": ("RF58KL0000", False),
    "two too many in the middle": ("RF58KL00770042", False),
    "the prefix alone": ("RF58KL", False),
    "another job": ("RF31KL000043", False),
    "nothing": ("", False),
}


@pytest.mark.parametrize(("text", "near"), SLIPS.values(), ids=SLIPS)
def test_one_slip_is_near_and_two_are_not(text: str, near: bool) -> None:
    for around in ("{}", "Deposit: {}", "{} KB"):
        assert nearly_named(around.format(text), ["RF58KL000042"]) == (["RF58KL000042"] if near else [])


def test_validity_allows_spaces_and_groups_drop_them() -> None:
    assert is_valid_reference("rf58 KL00 0042")
    assert not is_valid_reference("RF58-KL000042")
    assert in_fours("RF58KL 000042") == "RF58 KL00 0042"
