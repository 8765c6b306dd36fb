"""What an inspector would object to: fits that hurt somebody, each worked by hand beside its case."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.fitment import check_fit, parse_tyre
from configurator.fitment.tyre_size import speed_load_factor

from .parts import judge
from .strategies import axles, maybe, mm, spacers, tyres, wheels


def row(check, **changes):
    return judge(**changes).check(check)


TWINS = {
    "axle__dual_wheels": True,
    "axle__position": "rear",
    "tyre": "195/75R16C 107/105R",
    "wheel__width_in": 5.5,
    "wheel__diameter_in": 16,
    "wheel__offset_mm": 115,
    "spacer": None,
}


def test_of_twins_the_outer_tyre_stands_in_the_arch_and_the_inner_one_at_the_strut():
    # Mounting faces together: the outer wheel's middle is 115 mm outboard, the inner one's 115 inboard.
    # S = 195 + 0.4 (139.7 - 136.5) = 196.28, half of it 98.14.
    found = judge(**TWINS, axle__arch_lip_mm=210, axle__strut_face_mm=-230)
    assert found.check("outboard_position").value == pytest.approx(115 + 98.14)
    assert found.check("outboard_position").verdict == "no"
    assert found.check("wheel_cover").margin == pytest.approx(210 - 115 - 98.14)
    assert found.check("inboard_clearance").value == pytest.approx(230 - 115 - 98.14)
    assert found.derived["outer_face_mm"] == pytest.approx(213.14)
    assert found.derived["inner_face_mm"] == pytest.approx(-213.14)
    turned = judge(**TWINS | {"wheel__offset_mm": -115}, axle__arch_lip_mm=210, axle__strut_face_mm=-230)
    assert turned.check("outboard_position") == found.check("outboard_position")
    rim = judge(**TWINS | {"tyre": "195R14C", "wheel__width_in": 8.0, "wheel__offset_mm": 115})
    assert rim.check("outboard_position").verdict == "no"


def test_twins_are_held_through_both_wheels():
    nuts = {"axle__fastener": "nut", "axle__stud_length_mm": 40.0, "fastener": None}
    # 40 of stud less twice 13 of metal: 14.
    assert row("thread_engagement", **TWINS, **nuts).value == pytest.approx(14.0)
    assert row("thread_engagement", **{**TWINS, "axle__dual_wheels": False}, **nuts).value == pytest.approx(
        27.0
    )
    # Each wheel 3 mm thicker than the original: 27 + 2 x 3.
    bolts = {"fastener": None, "wheel__seat_thickness_mm": 16}
    assert row("fastener_length", **TWINS, **bolts).value == pytest.approx(33.0)


def test_the_track_of_twins_lies_midway_between_them():
    assert judge(**TWINS).derived["track_change_mm"] == 0.0
    spaced = {"thickness_mm": 5, "kind": "slip_on", "bore_mm": 66.6, "spigot_height_mm": 0}
    assert judge(**TWINS | {"spacer": spaced}).derived["track_change_mm"] == pytest.approx(10.0)


def test_a_tyre_as_high_as_lawful_stays_clear_of_a_point_above_it():
    # 235/50R18: D = 457 + 2 x 118 = 693, lawfully 4 % of 236 = 9.44 more: 4.72 in radius. A point 368 up,
    # over the tread, is 21.5 from the tyre as designed; 8 wanted.
    point = {"axle__strut_face_mm": ..., "axle__inboard_points_mm": [[368.0, -100.0]]}
    found = row("inboard_clearance", **point, spacer=None)
    assert found.value == pytest.approx(21.5)
    assert found.tolerance == pytest.approx(2.0 + 4.72)
    assert (
        row("inboard_clearance", **point | {"axle__inboard_points_mm": [[361.0, -100.0]]}).verdict
        == "measure"
    )


def test_a_spacer_bored_for_another_hub_does_not_repeat_this_one():
    """A lip is as wide as what the spacer is bored for: wider than this hub, and than a wheel for it."""
    other = {"axle__spigot_diameter_mm": 60.4, "spacer__bore_mm": 66.6}
    assert row("centre_bore", **other, wheel__bore_mm=60.4).missing == ("spacer.spigot_diameter_mm",)
    assert row("centre_bore", **other, wheel__bore_mm=60.3).verdict == "no"
    assert row("centre_bore", **other, wheel__bore_mm=66.6).verdict == "fits"
    assert row("centre_bore", **other, wheel__bore_mm=60.4, spacer__spigot_diameter_mm=60.4).verdict == "fits"
    assert row("centre_bore", **other, wheel__bore_mm=60.4, spacer__spigot_diameter_mm=66.6).verdict == "no"
    lip = [n for n in judge(**other, wheel__bore_mm=72.6).needs if n.what == "centring_ring"]
    assert [dict(n.numbers)["inner_mm"] for n in lip] == [66.6, 60.4]
    # No wall is left between a lip and a bore of one size, so no recess for the hub's spigot.
    recess = {"spacer__thickness_mm": 8, "spacer__spigot_recess_mm": 6}
    assert row("spacer_kind", **other, **recess).verdict == "no"


def test_little_room_at_full_lock_is_no_pass_where_the_original_tyre_is_not_known():
    tight = {"axle__lock_free_mm": 5.0, "axle__original_tyre": ..., "spacer": None}
    assert row("lock_sweep", **tight).verdict == "unknown"


def test_a_motorcycle_tyre_carries_less_at_speed():
    # UN R75 2.36.3, from memory: V 85 per cent at 240 km/h, W 75 at 270; a car's 91 and 85.
    v, w = parse_tyre("190/55R17 M/C 75V"), parse_tyre("190/55ZR17 M/C 75W")
    assert speed_load_factor(v, 230) == pytest.approx(0.90)
    assert speed_load_factor(w, 265) == pytest.approx(0.80)
    assert speed_load_factor(parse_tyre("225/45R18 95V"), 230) == pytest.approx(0.94)


def test_a_thread_that_is_not_known_is_not_called_another():
    """A stud too short to come through is a no, whatever its thread; nothing is said of threads then."""
    short = {"axle__fastener": "nut", "axle__stud_length_mm": 5.0, "axle__thread": ..., "spacer": None}
    found = row("thread_engagement", **short)
    assert (found.verdict, found.messages[0].id) == ("no", "thread_engagement.no")
    # The same thread in other words is no other thread.
    spelt = row("thread_engagement", fastener__thread="M14X1.5", axle__hub_thread_mm=0.0)
    assert spelt.messages[0].id == "thread_engagement.no"
    assert row("thread_engagement", fastener__thread="M12x1.5").messages[0].id == "thread_engagement.other"


@pytest.mark.long
@given(axles, wheels, tyres, spacers, maybe(mm))
def test_adding_a_spacer_is_lowering_the_offset(axle, wheel, tyre, spacer, free):
    """Where the wheel stands, a spacer of so many mm is that much less offset; twins excepted."""
    if spacer is None or wheel.offset_mm is None:
        return
    axle = replace(axle, lock_free_mm=free, dual_wheels=False)
    with_spacer = check_fit(axle, wheel, tyre, replace(spacer, tolerance_mm=0.0))
    moved = replace(wheel, offset_mm=wheel.offset_mm - spacer.thickness_mm)
    without = check_fit(axle, moved, tyre)
    for check in ("outboard_position", "inboard_clearance", "wheel_cover", "lock_sweep", "track_change"):
        one, other = with_spacer.check(check), without.check(check)
        assert one.verdict == other.verdict
        assert one.margin == pytest.approx(other.margin, abs=1e-6)


@pytest.mark.long
@given(axles, wheels, tyres, spacers, st.sampled_from(["original_tyre", "original_wheel", "lock_free_mm"]))
def test_full_lock_never_passes_for_want_of_an_input(axle, wheel, tyre, spacer, field):
    for free in (3.0, 12.0, 60.0):
        known = replace(axle, lock_free_mm=free, steered=True)
        before = check_fit(known, wheel, tyre, spacer).check("lock_sweep").verdict
        after = check_fit(replace(known, **{field: None}), wheel, tyre, spacer).check("lock_sweep").verdict
        assert after != "fits" or before in ("fits", "note")
