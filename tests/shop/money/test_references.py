"""Bank references against the published tables and against other libraries."""

from __future__ import annotations

from pathlib import Path

import pytest
import schwifty
from hypothesis import given
from hypothesis import strategies as st
from schwifty.exceptions import SchwiftyException
from stdnum import iban, iso11649

from shop.money.references import find_references, is_valid_reference, make_reference, printed
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


@given(st.integers(1, 999_999), st.integers(0, 11), st.characters(categories=["Nd", "Lu"], max_codepoint=90))
def test_one_wrong_character_never_names_a_job(job_id: int, place: int, char: str) -> None:
    reference = make_reference(job_id)
    wrong = reference[:place] + char + reference[place + 1 :]

    assert wrong == reference or not is_valid_reference(wrong)


MESSES = [
    "{r}",
    "{lower}",
    "{spaced}",
    "Anzahlung {spaced} vielen Dank",
    "deposit for the van,{lower}.thanks",
    "SVWZ+{dashed}/EREF+NOTPROVIDED",
    "RF RF {r}",
    "1{r}9",
    "{broken}",
]


@pytest.mark.parametrize("mess", MESSES)
def test_references_are_found_in_what_payers_type(mess: str) -> None:
    reference = make_reference(4711)
    text = mess.format(
        r=reference,
        lower=reference.lower(),
        spaced=printed(reference),
        dashed="-".join(reference),
        broken=f"{reference[:7]}\n{reference[7:]}",
    )

    assert find_references(text, {reference, make_reference(4712)}) == [reference]


@given(st.text(max_size=200))
def test_no_text_names_a_job_that_is_not_known(text: str) -> None:
    assert find_references(text, set()) == []
    assert set(find_references(text, {make_reference(5)})) <= {make_reference(5)}


def test_printed_in_groups_of_four() -> None:
    assert printed("RF58KL000042") == "RF58 KL00 0042"
