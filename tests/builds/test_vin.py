"""VINs against published samples (ISO 3779, 49 CFR 565.15)."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds.vin import check_digit, check_vin
from tests.tables import read_table

ROWS = read_table(Path(__file__).parent / "data" / "vin.csv")


@pytest.mark.parametrize("row", ROWS, ids=[row["vin"] for row in ROWS])
def test_published_vin(row):
    shape_is_wrong = row["reason"].startswith(("length", "character"))
    binds = row["vin"][0] in "12345"
    fine = row["status_565"] == "valid" or "-" in row["vin"] or not (shape_is_wrong or _is_odd(row, binds))
    assert check_vin(row["vin"]).ok == fine
    if row["expected_check_digit"] and not shape_is_wrong:
        assert check_digit(row["vin"]) == row["expected_check_digit"]


def _is_odd(row, binds):
    """A check digit is looked at only where it binds; letters that no VIN holds are odd anywhere."""
    return binds or row["reason"].startswith("forbidden")


@pytest.mark.parametrize("vin", ["WXXZZZ8KZ9A000001", "VX1ZZZ7PZCE000042", "YXX0000001A000007"])
def test_a_filler_in_a_european_number_is_fine(vin):
    """Invented maker codes of the European regions S to Z; common practice fills 4 to 6 and 9 with Z."""
    assert check_vin(vin).ok


def test_spaces_dashes_and_small_letters_are_cleaned():
    assert check_vin(" 0kbhr527-4v00 04278 ").vin == "0KBHR5274V0004278"


@given(st.text(max_size=30))
def test_any_text_gets_an_answer(text):
    result = check_vin(text)
    assert result.ok or result.warning


# One wrong character is always noticed outside position 9 and outside letters of equal value:
# every weight but the check position's is prime to 11 (49 CFR 565.15).
@given(position=st.integers(1, 16).filter(lambda p: p != 8), digit=st.integers(1, 9))
def test_one_wrong_digit_is_noticed(position, digit):
    vin = "1" * 17
    changed = vin[:position] + str((1 + digit) % 10) + vin[position + 1 :]
    assert not check_vin(changed).ok
