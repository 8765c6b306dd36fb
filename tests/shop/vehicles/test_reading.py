"""What is typed at the car is read as meant, and nothing else is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.vehicles.measured import BY_FIELD, FIELDS, Kind, of_axle
from shop.vehicles.reading import ReadingError, read, shown, typed

LENGTHS = st.integers(1, 40000).map(lambda tenths: tenths / 10)


@given(st.lists(LENGTHS, min_size=1, max_size=9), st.sampled_from([" ", "  ", ";", "; "]), st.booleans())
def test_the_narrowest_of_several_heights_counts_and_inboard_is_negative(
    lengths: list[float], gap: str, comma: bool
) -> None:
    text = gap.join(str(one).replace(".", ",") if comma else str(one) for one in lengths)
    assert read(BY_FIELD["strut_face_mm"], text) == (lengths, -min(lengths))
    assert read(BY_FIELD["arch_lip_mm"], text) == (lengths, min(lengths))


def test_two_tries_of_one_length_are_averaged() -> None:
    assert read(BY_FIELD["spigot_diameter_mm"], "66,5 66,7") == ([66.5, 66.7], 66.6)


def test_a_template_is_read_from_the_outside_in() -> None:
    readings, value = read(BY_FIELD["brake_envelope_mm"], "140:20 178:-35,5")
    assert readings == [[140.0, 20.0], [178.0, -35.5]]
    assert value == [[178.0, -35.5], [140.0, 20.0]]


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("strut_face_mm", ""), ("strut_face_mm", "-190"), ("strut_face_mm", "19o"), ("strut_face_mm", "nan"),
        ("strut_face_mm", "9999"), ("strut_face_mm", "1 " * 41), ("spigot_height_mm", "12 13 14"),
        ("bolt_count", "5 5"), ("bolt_count", "5,5"), ("brake_envelope_mm", "178"),
        ("brake_envelope_mm", "178:"), ("brake_envelope_mm", ":20"), ("brake_envelope_mm", "1:2:3"),
    ],
)  # fmt: skip
def test_what_is_no_measurement_is_refused(field: str, text: str) -> None:
    with pytest.raises(ReadingError):
        read(BY_FIELD[field], text)


def test_what_was_read_can_be_typed_again() -> None:
    for field, text in (("arch_lip_mm", "108 110.5"), ("brake_envelope_mm", "178:-35 140:20")):
        one = BY_FIELD[field]
        readings, value = read(one, text)
        assert read(one, typed(one, readings)) == (readings, value)
        assert shown(one, value)


def test_letters_run_in_the_order_of_the_card_and_only_the_front_is_steered() -> None:
    assert [one.letter for one in FIELDS] == sorted(one.letter for one in FIELDS)
    front, rear = ({one.field for one in of_axle(position)} for position in ("front", "rear"))
    assert front - rear == {"lock_free_mm"}
    assert all((one.tolerance_mm is None) == (one.kind in (Kind.TEXT, Kind.COUNT)) for one in FIELDS)
