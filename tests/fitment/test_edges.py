"""Where a check turns: the last value that passes and the first that does not, worked by hand beside each."""

import math
from dataclasses import replace

import pytest

from configurator.fitment import (
    check_fit,
    filter_grid,
    parse_tyre,
    single_changes,
    suggest_spacers,
    suggest_tyres,
)
from configurator.fitment.formulas_rating import r39_speeds_kmh
from configurator.fitment.parts import Wheel
from configurator.fitment.pressure import speed_supplement_bar
from configurator.fitment.profile import inboard_first
from configurator.fitment.sources import source_of

from .parts import read
from .rows import BOLT_ON, numbers, row


# UN R39 5.2.5 (bands from memory): the shares count from 55 and from 100 km/h.
@pytest.mark.parametrize(
    ("top", "speeds"),
    [
        (40, (32,)),
        (45, (36,)),
        (46, (40,)),
        (68, (40,)),
        (68.75, (40, 55)),
        (100, (40, 80)),
        (101, (40, 80)),
        (124, (40, 80)),
        (125, (40, 80, 100)),
        (150, (40, 80, 120)),
        (151, (40, 80, 120)),
        (250, (40, 80, 120)),
    ],
)
def test_speeds_at_which_a_speedometer_is_tested(top, speeds):
    assert r39_speeds_kmh(top) == pytest.approx(speeds)


@pytest.mark.parametrize(
    ("symbol", "points"),
    [
        # A chassis handbook; Y from memory: nothing up to the first speed, all from the last, linear between.
        ("H", [(160, 0), (185, 0.15), (210, 0.3), (250, 0.3)]),
        ("W", [(190, 0), (200, 0.1), (215, 0.25), (240, 0.5), (270, 0.5)]),
        ("Y", [(220, 0), (245, 0.25), (270, 0.5), (300, 0.5)]),
    ],
)
def test_pressure_that_fast_driving_adds(symbol, points):
    tyre = parse_tyre(f"235/50R18 101{symbol}")
    for speed, bar in points:
        assert speed_supplement_bar(tyre, speed) == pytest.approx(bar)
    assert speed_supplement_bar(tyre, points[0][0] + 0.1) > 0
    top = next(speed for speed, bar in points if bar == points[-1][1])
    assert speed_supplement_bar(tyre, top - 0.1) < points[-1][1]


def test_seats_that_differ_count_as_one_mismatch():
    assert numbers("seat") == ("fits", 0.0, 0.0, 0.0, 0.0)
    assert numbers("seat", fastener__seat="ball13") == ("no", 1.0, 0.0, -1.0, 0.0)


def test_a_profile_is_turned_by_its_ends_whatever_lies_between():
    up = ((200.0, 0.0), (190.0, 40.0), (195.0, -20.0), (180.0, 30.0))
    assert inboard_first(up) == up
    assert inboard_first(up[::-1]) == up
    dip = ((200.0, 0.0), (190.0, -40.0), (195.0, -50.0), (180.0, 30.0))
    assert inboard_first(dip) == inboard_first(dip[::-1]) == dip
    level = ((200.0, 5.0), (190.0, 5.0))
    assert inboard_first(level) == level


def test_a_point_just_beside_the_tyre_is_measured_round_its_corner():
    # Half a millimetre inboard of the face (-155.24) and 8 mm above the tread (346.5).
    above = {"axle__strut_face_mm": ..., "axle__inboard_points_mm": [[354.5, -155.74]]}
    assert row("inboard_clearance", **above).value == pytest.approx(math.hypot(0.5, 8.0))
    beside = {"axle__strut_face_mm": ..., "axle__inboard_points_mm": [[347.0, -163.24]]}
    assert row("inboard_clearance", **beside).value == pytest.approx(math.hypot(0.5, 8.0))


def test_tolerance_of_a_spacer_over_studs_and_over_a_spigot():
    nuts = {"axle__fastener": "nut", "axle__stud_length_mm": 24.0, "fastener": None}
    over = {"spacer__kind": "bolt_on", "spacer__thickness_mm": 26, "spacer__spigot_height_mm": 0.0}
    # 26 over studs of 24: 2 mm, known to the axle's 2 and the spacer's 0.5.
    assert numbers("spacer_kind", **nuts, **over, spacer__tolerance_mm=0.5) == (
        "measure",
        26.0,
        24.0,
        2.0,
        2.5,
    )
    # Studs that end in the wheel's pockets decide nothing: the least of its kind does, exactly.
    sunk = nuts | over | {"wheel__pocket_depth_mm": 30.0}
    assert numbers("spacer_kind", **sunk) == ("fits", 26.0, 20.0, 6.0, 0.0)
    # Two spacers on one side are one too many, however thick.
    assert numbers("spacer_kind", spacer__count=2)[:4] == ("no", 15.0, 1.0, -1.0)
    assert numbers("spacer_kind", spacer__count=3)[3] == -2.0
    # 12 mm of hub spigot inside a spacer of 13 with its own: 1 mm, known to the axle's 2.
    assert numbers("spacer_kind", spacer__thickness_mm=13) == ("measure", 13.0, 12.0, 1.0, 2.0)
    assert numbers("spacer_kind", spacer__thickness_mm=13, spacer__tolerance_mm=0.3)[4] == 2.3


def test_behind_a_spacer_there_is_the_hub_and_nothing_to_measure():
    # 27 - 13 of 25 mm: 11 short of the end; what spacer and bolt are out by counts, not what the axle is.
    assert numbers("fastener_protrusion", **BOLT_ON) == ("fits", -11.0, 0.0, 11.0, 0.0)
    assert numbers("fastener_protrusion", **BOLT_ON, spacer__tolerance_mm=0.3)[4] == 0.3
    assert numbers("fastener_protrusion", axle__tolerance_mm=1.5)[4] == 3.0


def test_what_a_check_does_not_ask_for_is_not_missed():
    no_height = {"axle__spigot_height_mm": ..., "spacer__kind": ...}
    assert row("spacer_kind", **no_height).missing == ("spacer.kind", "axle.spigot_height_mm")
    assert row("spacer_kind", **no_height, spacer__spigot_height_mm=0.0).missing == ("spacer.kind",)
    low = {"spacer__spigot_height_mm": 0.5}
    assert "axle.spigot_height_mm" in row("spacer_kind", **no_height, **low).missing
    sleeve = {"spacer__hub_shank_mm": 30.0, "fastener__shank_mm": ..., "wheel__seat_thickness_mm": ...}
    assert row("thread_engagement", **sleeve).missing == ("fastener.shank_mm", "wheel.seat_thickness_mm")
    nuts = {"axle__fastener": "nut", "axle__stud_length_mm": ..., "axle__hub_thread_mm": ...}
    assert row("thread_engagement", **nuts).missing == ("axle.stud_length_mm",)
    behind = BOLT_ON | {"axle__original_shank_mm": ..., "axle__free_depth_behind_hub_mm": ...}
    assert row("fastener_protrusion", **behind).missing == ("axle.original_shank_mm",)


def test_studs_through_a_bolt_on_spacer_are_the_spacers_own():
    nuts = {"axle__fastener": "nut", "axle__stud_length_mm": 20.0, "fastener": None}
    over = {"spacer__kind": "bolt_on", "spacer__thickness_mm": 25, "wheel__seat_thickness_mm": ...}
    # Its studs of 40 mm may be long enough for a wheel of unknown thickness, those of 10 mm never are.
    assert row("thread_engagement", **nuts, **over, spacer__stud_length_mm=40.0).verdict == "unknown"
    short = row("thread_engagement", **nuts, **over, spacer__stud_length_mm=10.0)
    assert (short.verdict, short.value) == ("no", 10.0)


def test_a_sweep_that_is_too_much_by_what_is_known_is_a_no():
    # Offset not known. The tyre is 10.5 mm higher; half of 250.48 is 18.42 more than half of 213.64: 21.2 mm.
    unknown = {"wheel__offset_mm": ..., "spacer": None}
    reach = math.hypot(10.5, (250.48 - 213.64) / 2)
    assert row("lock_sweep", **unknown, axle__lock_free_mm=8 + reach + 0.01).verdict == "unknown"
    found = row("lock_sweep", **unknown, axle__lock_free_mm=8 + reach - 0.01)
    assert (found.verdict, found.value) == ("no", pytest.approx(reach))


def test_load_at_speed_is_named_for_those_tyres_that_have_it():
    car, van, bike = (source_of("tyre_load", kind) for kind in ("car", "commercial", "motorcycle"))
    assert car == (
        "UN Regulation No. 30, 02 series of amendments, annex 4 (load index), 2.31 (load above 210 km/h)"
    )
    assert van == "UN Regulation No. 54, 00 series of amendments, annex 4 (load index)"
    assert bike == (
        "UN Regulation No. 75, 00 series of amendments, annex 4 (load index), annex 8 (load at speed)"
    )
    assert source_of("tyre_speed", "car").startswith("UN Regulation No. 30, 02 series of amendments, speed")
    assert "2.31" not in source_of("tyre_speed", "car")
    assert source_of("seat", "car") == "geometry"


def test_a_wheel_of_unknown_size_that_mends_the_fit_is_told_without_one():
    given = read(wheel__bolt_count=4)
    unknown = Wheel(**(vars(given.wheel) | {"bolt_count": 5, "diameter_in": None}))
    found = single_changes(
        given.axle, given.wheel, given.tyre, given.spacer, given.fastener, wheels=[unknown, given.wheel]
    )
    (one,) = found
    assert (one.kind, one.report.verdict) == ("wheel", "unknown")
    assert one.messages[0].as_dict() == {
        "message_id": "mends.wheel_unknown",
        "figures": {"checks": ["bolt_circle"]},
    }
    assert one.reason == "another wheel instead mends bolt circle"


def test_a_grid_of_nothing_is_empty_and_of_one_is_one():
    given = read(fastener=None)
    wheels, tyres, spacers = [given.wheel], [given.tyre], [given.spacer]
    assert filter_grid(given.axle, [], tyres, spacers).keys.shape == (0, 1, 1)
    assert filter_grid(given.axle, wheels, [], spacers).keys.shape == (1, 0, 1)
    assert filter_grid(given.axle, wheels, tyres, []).keys.shape == (1, 1, 0)
    assert suggest_spacers(given.axle, given.wheel, given.tyre, []) == []
    assert suggest_tyres(given.axle, given.wheel, []) == []
    one = filter_grid(given.axle, wheels, tyres, spacers)
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer)
    assert (one.verdict(0, 0, 0), one.deciding(0, 0, 0)) == (report.verdict, None)
    assert one.counts() == {"fits": 1, "measure": 0, "unknown": 0, "no": 0}


def test_zr_alone_is_for_more_than_240():
    """UN R30 2.29: ZR without a symbol, above 240 km/h; a vehicle that reaches more is not vouched for."""
    assert numbers("tyre_speed", tyre="235/50ZR18", axle__max_speed_kmh=240)[:2] == ("fits", 240.0)
    assert row("tyre_speed", tyre="235/50ZR18", axle__max_speed_kmh=240.5).verdict == "no"


def test_the_hubs_spigot_matters_to_a_spacer_with_its_own():
    kind = {"spacer__kind": ..., "axle__spigot_diameter_mm": ...}
    assert row("spacer_kind", **kind).missing == ("spacer.kind", "axle.spigot_diameter_mm")
    assert row("spacer_kind", **kind, spacer__spigot_height_mm=0.0).missing == ("spacer.kind",)


def test_without_knowing_bolts_or_studs_no_length_is_judged():
    for check in ("fastener_length", "thread_engagement", "fastener_protrusion"):
        unknown = row(check, axle__fastener=...)
        assert (unknown.verdict, unknown.missing[0]) == ("unknown", "axle.fastener")
        assert row(check, axle__fastener=..., axle__mounting="centre_axle").verdict == "note"


def test_studs_for_the_wheel_are_the_spacers_where_it_is_bolted_on():
    nuts = {"axle__fastener": "nut", "axle__stud_length_mm": 20.0, "fastener": None}
    over = {"spacer__kind": "bolt_on", "spacer__thickness_mm": 25, "spacer__stud_length_mm": 40.0}
    # 13 of metal and 11.25 of thread: 24.25, of the spacer's own 40; without it of the hub's 20.
    assert numbers("fastener_length", **nuts, **over)[:4] == ("fits", 40.0, 24.25, 15.75)
    assert numbers("fastener_length", **nuts | {"spacer": None})[:4] == ("no", 20.0, 24.25, -4.25)


def test_a_tyre_without_a_speed_symbol_promises_no_speed():
    assert row("tyre_speed", tyre="235/50R18").missing == ("tyre.speed_symbol",)
    assert row("tyre_load", tyre="235/50R18").missing == ("tyre.load_index",)


def test_both_wheels_of_a_pair_may_be_out():
    twins = {
        "axle__dual_wheels": True,
        "tyre": "225/70R15C 112/110R",
        "wheel__diameter_in": 15,
        "spacer": None,
    }
    exact = row("twin_spacing", **twins, wheel__width_in=6.5, wheel__offset_mm=140)
    rough = row("twin_spacing", **twins, wheel__width_in=6.5, wheel__offset_mm=140, wheel__tolerance_mm=0.5)
    assert rough.tolerance - exact.tolerance == pytest.approx(2 * 0.5)
    assert (exact.value, rough.value) == (280.0, 280.0)


def test_suggestions_are_judged_with_the_fastener_that_was_chosen():
    """Bolts of 42 mm go with a spacer of 15 mm and, a step too long, with 12; 18 leaves too few turns."""
    given = read()
    thick = [replace(given.spacer, thickness_mm=t) for t in (3.0, 12.0, 15.0, 18.0, 24.0)]
    found = suggest_spacers(given.axle, given.wheel, given.tyre, thick, given.fastener)
    assert {(one.kind, one.part.thickness_mm) for one in found} == {("spacer", 12.0), ("spacer", 15.0)}
    assert all(one.report.check("fastener_length").value == 42.0 for one in found)
    assert suggest_tyres(given.axle, given.wheel, [given.tyre], thick[4], given.fastener) == []
    (tyre,) = suggest_tyres(given.axle, given.wheel, [given.tyre], given.spacer, given.fastener)
    assert (tyre.kind, tyre.report.check("fastener_length").value) == ("tyre", 42.0)
