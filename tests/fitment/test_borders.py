"""What may be written: bounds of every measured field, and the written forms of threads and seats."""

from dataclasses import fields
from typing import get_args, get_type_hints

import pytest

from configurator.fitment import Axle, Fastener, InputErrors, Spacer, Wheel
from configurator.fitment.names import seat_code, split_seat, split_thread

from .parts import read

# Lowest and highest that a field takes: far beyond any vehicle on the road, and no further.
BOUNDS = {
    (-2000, 2000): "axle.arch_lip_mm axle.guard_rear_edge_mm axle.strut_face_mm",
    (1, 2000): "axle.bolt_circle_mm axle.spigot_diameter_mm wheel.bolt_circle_mm wheel.bore_mm spacer.bore_mm"
    " spacer.spigot_diameter_mm spacer.bolt_circle_mm spacer.wheel_bolt_circle_mm axle.torque_nm",
    (
        0,
        500,
    ): "axle.spigot_height_mm axle.original_shank_mm axle.original_seat_thickness_mm axle.hub_thread_mm"
    " axle.free_depth_behind_hub_mm axle.stud_length_mm axle.suspension_travel_mm axle.lock_free_mm"
    " wheel.seat_thickness_mm wheel.fitted_inside_mm wheel.pocket_depth_mm spacer.spigot_height_mm"
    " spacer.spigot_recess_mm spacer.thread_mm spacer.stud_length_mm spacer.hub_shank_mm"
    " spacer.hub_seat_thickness_mm spacer.max_thickness_mm spacer.min_thickness_mm fastener.shank_mm"
    " fastener.thread_length_mm",
    (0, 100): "axle.tolerance_mm wheel.tolerance_mm spacer.tolerance_mm fastener.tolerance_mm"
    " axle.track_change_usual_pct axle.track_change_limit_pct",
    (1, 40): "wheel.width_in wheel.diameter_in",
    (-250, 250): "wheel.offset_mm",
    (1, 50_000): "axle.axle_load_kg wheel.load_rating_kg",
    (0, 180): "axle.guard_front_deg axle.guard_rear_deg",
    (1, 20): "axle.bolt_count wheel.bolt_count spacer.bolt_count spacer.wheel_bolt_count spacer.count",
    (1, 2): "axle.wheels",
    (1, 500): "axle.max_speed_kmh",
    (100, 4000): "axle.original_track_mm",
    (-100, 200): "axle.required_cover_mm",
    (0, 200): "axle.required_inboard_clearance_mm",
    (100, 3000): "axle.arch_diameter_mm",
    (0, 50): "axle.required_brake_clearance_mm",
    (0.05, 0.6): "axle.nut_factor",
    (-20, 50): "axle.speedometer_reads_high_pct",
    (0.1, 300): "spacer.thickness_mm",
}
FIELDS = [(name, *bounds) for bounds, names in BOUNDS.items() for name in names.split()]
WHOLE = {*BOUNDS[1, 20].split(), "axle.wheels"}
PARTS = {"axle": Axle, "wheel": Wheel, "spacer": Spacer, "fastener": Fastener}


def refused(**changes):
    with pytest.raises(InputErrors) as caught:
        read(**changes)
    return [(error["field"], error["message"]) for error in caught.value.errors]


@pytest.mark.parametrize(("name", "low", "high"), FIELDS, ids=[row[0] for row in FIELDS])
def test_a_field_takes_its_bounds_and_nothing_beyond(name, low, high):
    part, _, field = name.partition(".")
    key, step = (
        f"{part}__{field}",
        1 if (isinstance(low, int) and "count" in name) or name == "axle.wheels" else 0.001,
    )
    for value in (low, high):
        assert getattr(getattr(read(**{key: value}), part), field) == value
    assert refused(**{key: low - step}) == [(name, f"must be greater than or equal to {low}")]
    assert refused(**{key: high + step}) == [(name, f"must be less than or equal to {high}")]
    for nothing in (float("nan"), float("inf"), True, "5"):
        assert [found for found, _ in refused(**{key: nothing})] == [name]


def test_no_measured_field_is_left_out_of_the_table():
    numeric = {
        f"{part}.{each.name}"
        for part, kind in PARTS.items()
        for each in fields(kind)
        if {int, float} & {get_type_hints(kind)[each.name], *get_args(get_type_hints(kind)[each.name])}
    }
    assert numeric == {row[0] for row in FIELDS}


@pytest.mark.parametrize(
    ("field", "fewest"), [("axle__brake_envelope_mm", 1), ("wheel__inside_profile_mm", 2)]
)
def test_an_outline_has_so_many_points_and_each_stands_on_a_vehicle(field, fewest):
    point = [200.0, -30.0]
    for count in (fewest, 64):
        read(**{field: [point] * count})
    for count in (fewest - 1, 65):
        assert len(refused(**{field: [point] * count})) == 1
    for good in ([0, 0], [1000, 2000], [5, -2000]):
        read(**{field: [good] * 2})
    for bad in ([-0.001, 0], [1000.001, 0], [5, 2000.001], [5, -2000.001], [5], [5, 5, 5]):
        assert refused(**{field: [bad, point]})


# Coarse pitches of ISO 261:1998, table 2 (first and second choice sizes).
COARSE = {6: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2, 16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3}


@pytest.mark.parametrize("size", COARSE)
def test_a_thread_without_a_pitch_is_the_coarse_one(size):
    assert split_thread(f"M{size}") == (size, COARSE[size])
    assert split_thread(f" m{size}X{COARSE[size]:g} ") == (size, COARSE[size])


# 1/2-20 UNF is 12.7 mm by 1.27 mm (ASME B1.1).
def test_an_inch_thread_is_read_as_what_it_is():
    assert split_thread("1/2-20 UNF") == pytest.approx((12.7, 1.27))
    assert split_thread("1/2-20unf") == split_thread("1/2-20") == pytest.approx((12.7, 1.27))


@pytest.mark.parametrize(
    "text", ["", "M", "M13", "14x1.5", "M14x4", "M14-1.5", "3/8-21", "M14x1.5 LH", "W14x1.5"]
)
def test_what_is_no_wheel_thread_is_refused(text):
    with pytest.raises(ValueError, match=r"M14x1\.5"):
        split_thread(text)
    assert refused(axle__thread=text) == [
        ("axle.thread", "a thread is written M14x1.5 (metric, diameter by pitch in mm) or 1/2-20 UNF")
    ]


def test_a_pitch_is_a_quarter_of_the_diameter_at_most():
    assert split_thread("M12x3") == (12, 3)
    with pytest.raises(ValueError, match="a thread is written"):
        split_thread("M12x3.1")


def test_seats_are_told_apart_by_shape_and_size():
    assert split_seat(" Cone60 ") == ("cone", 60)
    assert split_seat("ball_r12.5") == split_seat("ballr12.5") == ("ball", 12.5)
    assert split_seat("flat") == ("flat", 0)
    codes = {
        seat_code(text) for text in ("cone60", "cone90", "ball12", "ball13", "ball13.5", "flat", "ball60")
    }
    assert len(codes) == 7
    assert seat_code("ball13") == seat_code("BALL_R13")
    assert seat_code(None) != seat_code(None)
    for text in ("", "cone", "ball", "60cone", "cone-60", "flat3"):
        with pytest.raises(ValueError, match="a seat is written"):
            split_seat(text)


def test_whole_numbers_may_be_written_with_a_nought_behind_the_point():
    assert read(axle__bolt_count=5.0).axle.bolt_count == 5
    assert [field for field, _ in refused(axle__bolt_count=5.5)] == ["axle.bolt_count"]


def test_what_is_missing_is_named_as_missing():
    for part in ("axle", "wheel", "tyre"):
        assert refused(**{part: None}) == [(part, "missing")]
    assert refused(axle__position=...) == [("axle.position", "missing")]
    assert refused(axle=3) == [("axle", "must be an object")]
    assert refused(axle__property_class="7.7") == [
        ("axle.property_class", "a property class is one of 5.8, 6.8, 8.8, 9.8, 10.9, 12.9")
    ]
