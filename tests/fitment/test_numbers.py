"""Numbers for the formulas follow from the parts' own fields: declared once, called the same everywhere."""

import math
from dataclasses import dataclass, fields

import pytest

from configurator.fitment.columns import spacer_columns, wheel_columns
from configurator.fitment.numbers import (
    axle_numbers,
    fastener_numbers,
    numeric_fields,
    readers_of,
    spacer_numbers,
    wheel_numbers,
)
from configurator.fitment.parts import Axle, Fastener, OriginalWheel, Spacer, Wheel

AXLE = Axle(position="front")


@dataclass(frozen=True, kw_only=True)
class Hub:
    """A part with a field of each sort."""

    height_mm: float | None = None
    holes: int = 5
    rusty: bool = False
    covered: bool | None = None
    thread: str | None = None
    outline_mm: tuple[tuple[float, float], ...] | None = None
    wheel: OriginalWheel | None = None


def test_a_field_that_holds_one_number_is_read_by_its_name_and_no_other_is():
    assert numeric_fields(Hub) == ("height_mm", "holes")
    read = readers_of(Hub, missing={"height_mm": 7.0}, twice=lambda hub: 2.0 * hub.holes)
    assert {name: reader(Hub()) for name, reader in read.items()} == {
        "height_mm": 7.0, "holes": 5.0, "twice": 10.0,
    }  # fmt: skip
    assert read["height_mm"](Hub(height_mm=3)) == 3.0


@pytest.mark.parametrize(
    ("kind", "make"),
    [
        (Axle, axle_numbers),
        (Wheel, wheel_numbers),
        (Spacer, spacer_numbers),
        (Fastener, lambda fastener: fastener_numbers(AXLE, fastener)),
    ],
)
def test_every_measure_of_a_part_reaches_the_formulas_under_its_own_name(kind, make):
    measured = [
        each.name for each in fields(kind) if each.name.rpartition("_")[2] in ("mm", "in", "kg", "nm")
    ]
    single = [name for name in measured if not name.startswith(("inside_profile", "brake_env", "inboard_p"))]
    needed = {"position": "front"} if kind is Axle else {"thickness_mm": 9.0} if kind is Spacer else {}
    found = vars(make(kind(**{**needed, **dict.fromkeys(single, 3.5)})))
    assert single
    assert {name: found[name] for name in single} == dict.fromkeys(single, 3.5)


def test_what_is_not_known_is_no_number_and_an_unstated_tolerance_is_the_usual_one():
    found = wheel_numbers(Wheel(width_in=8.0))
    assert math.isnan(found.bore_mm)
    assert (found.tolerance_mm, found.fitted_inside_mm, found.inside_doubt_mm) == (0.5, 0.0, 4.0)
    assert wheel_numbers(Wheel(fitted_inside_mm=6.0)).inside_doubt_mm == 0.0


def test_a_whole_catalogue_has_the_numbers_that_one_part_has():
    wheels = wheel_columns([Wheel(offset_mm=45.0), Wheel(offset_mm=51.0)])
    assert vars(wheels).keys() == vars(wheel_numbers(Wheel())).keys()
    assert wheels.offset_mm.ravel().tolist() == [45.0, 51.0]
    spacers = spacer_columns([None, Spacer(thickness_mm=15.0, kind="slip_on")])
    assert vars(spacers).keys() == vars(spacer_numbers(None)).keys()
    assert spacers.thickness_mm.ravel().tolist() == [0.0, 15.0]
