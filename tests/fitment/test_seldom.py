"""What a fit seldom has: a stated pressure, a measured tyre, a brake of one point, no offset at all."""

from dataclasses import replace

import pytest

from configurator.fitment import check_fit, parse_tyre, single_changes, tyre_size
from configurator.fitment.drawing_canvas import Canvas
from configurator.fitment.parts import Axle, Fastener
from configurator.fitment.pressure import reference_pressure_bar
from configurator.fitment.tyre_size import drawn_width_mm, section_width_mm

from .parts import judge, read
from .test_drawing import SVG, draw


def test_the_pressure_marked_on_a_tyre_goes_before_the_usual_one():
    marked = replace(parse_tyre("235/65R16C 115/113R"), reference_pressure_bar=4.75)
    given = read(axle__axle_load_kg=1700)
    report = check_fit(given.axle, given.wheel, marked, given.spacer, given.fastener)
    # (1700 / 2430) ** 1.25 x 4.75 = 3.040, and 0.12 for 180 km/h: 3.16, up to the next 0.1.
    assert report.derived["minimum_pressure_bar"] == 3.2
    assert reference_pressure_bar(marked) == 4.75


def test_a_measured_section_is_the_section_whatever_the_rim():
    measured = replace(parse_tyre("235/50R18 101H XL"), section_width_mm=241.0)
    assert section_width_mm(measured, 7.5) == section_width_mm(measured, 9.0) == 241.0
    assert drawn_width_mm(measured, 8.0) == 241.0


def test_a_ratio_below_every_band_is_judged_by_the_lowest():
    assert tyre_size.coefficients(15.0) == tyre_size.coefficients(20.0)
    assert tyre_size.coefficients(29.9) == tyre_size.coefficients(20.0) != tyre_size.coefficients(30.0)


def test_a_report_joined_by_the_vehicles_row_is_as_bad_as_the_worse_of_both():
    report = judge()
    row = judge(axle__arch_lip_mm=...).check("outboard_position")
    joined = report.joined_by(row)
    assert (report.verdict, joined.verdict) == ("fits", "unknown")
    assert joined.checks == (*report.checks, row)
    assert [need.what for need in joined.needs] == ["input"]
    assert joined.derived == report.derived
    failing = judge(wheel__bolt_count=4)
    assert failing.joined_by(report.check("seat")).verdict == "no"


def test_a_bolt_in_stock_that_mends_the_fit_is_named_by_its_length():
    given = read(fastener__shank_mm=27.0)
    stocked = Fastener(shank_mm=42.0, seat="cone60", thread="M14x1.5", property_class="10.9")
    found = single_changes(
        given.axle, given.wheel, given.tyre, given.spacer, given.fastener, fasteners=[stocked]
    )
    assert [one.messages[0].id for one in found] == ["mends.fastener"]
    assert found[0].messages[0].figures["shank_mm"] == 42.0
    assert found[0].measure == 15.0


def test_another_tyre_that_mends_the_fit_is_named_by_its_designation():
    given = read(tyre="235/50R18 85H")
    found = single_changes(
        given.axle,
        given.wheel,
        given.tyre,
        given.spacer,
        given.fastener,
        tyres=[parse_tyre("235/50R18 101H")],
    )
    assert [one.messages[0].id for one in found] == ["mends.tyre"]
    assert found[0].messages[0].figures == {"tyre": "235/50R18 101H", "checks": ["tyre_load"]}
    assert found[0].measure == 0.0


def parts(root, kind):
    return [e.get("d") for e in root.iter(f"{SVG}path") if e.get("class") == f"fit-{kind}"]


def test_what_is_not_known_is_not_drawn():
    assert parts(draw(axle__brake_envelope_mm=...), "brake") == []
    assert parts(draw(axle__brake_envelope_mm=...), "gap") == []
    (point,) = parts(draw(axle__brake_envelope_mm=[[150.0, -20.0]]), "brake")
    assert point.count("L") == 4
    (closed,) = parts(draw(axle__brake_envelope_mm=[[150.0, -40.0], [180.0, -40.0], [150.0, -40.0]]), "brake")
    assert closed.count("L") == 2
    without = draw(axle__original_wheel=..., axle__original_tyre=...)
    assert not any("track" in (e.text or "") for e in without.iter(f"{SVG}text"))
    assert any("track" in (e.text or "") for e in draw().iter(f"{SVG}text"))


def test_a_spacer_without_a_spigot_is_a_plain_ring():
    (plain,) = parts(draw(spacer__spigot_height_mm=0.0), "spacer")
    (lipped,) = parts(draw(), "spacer")
    assert (plain.count("L"), lipped.count("L")) == (4, 7)


def test_a_dimension_of_no_length_is_drawn_level():
    canvas = Canvas("fit-x", (0, 100, 100, 0), 100, 1.0)
    canvas.arrows((50, 50), (50, 50), "#000000")
    assert "NaN" not in canvas.markup()
    assert "M34.0,50.0 L66.0,50.0" in canvas.markup()


@pytest.mark.parametrize("field", ["brake_envelope_mm", "bolt_circle_mm"])
def test_an_axle_of_which_nothing_is_known_is_judged_and_told(field):
    given = read()
    report = check_fit(Axle(position="front"), given.wheel, parse_tyre("235/50R18 101H XL"))
    assert report.verdict == "unknown"
    assert f"axle.{field}" in {dict(need.numbers).get("field") for need in report.needs}
