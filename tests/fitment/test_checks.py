"""Every check by hand: the numbers of one invented van, worked on paper beside each case."""

import pytest

from configurator.fitment.checks import CHECK_IDS

from .parts import judge
from .rows import TABLE, numbers, row


def test_all_checks_are_always_there_in_the_designs_order():
    table = TABLE.split()
    assert [name for name in CHECK_IDS if name != "twin_spacing"] == table
    assert [r.id for r in judge().checks] == table
    assert [r.id for r in judge(spacer=None, fastener=None).checks] == table
    assert tuple(r.id for r in judge(axle__dual_wheels=True).checks) == CHECK_IDS


def test_the_whole_fits_and_says_so():
    report = judge()
    assert [r.id for r in report.checks if r.verdict not in ("fits", "note")] == []
    assert (report.verdict, report.deciding, report.needs) == ("fits", None, ())


def test_derived_numbers():
    # S = 235 + 0.4 (203.2 - 0.7 x 235) = 250.48; e = 45 - 15; D = 457 + 2 x 118; before 406 + 2 x 133.
    derived = judge().derived
    assert derived == pytest.approx(
        {
            "overall_diameter_mm": 693.0,
            "original_overall_diameter_mm": 672.0,
            "section_width_mm": 250.48,
            "effective_offset_mm": 30.0,
            "outer_face_mm": 95.24,
            "inner_face_mm": -155.24,
            "track_change_mm": 42.0,
            "circumference_change_pct": 3.125,
            "tyre_capacity_kg": 1650.0,
            "engaged_mm": 14.0,
            "engaged_turns": 14 / 1.5,
            "minimum_pressure_bar": 3.0,
        }
    )


def test_brake_clearance():
    # 44 / sqrt 5 = 19.677 (test_profile works it out); 3 mm wanted (common practice, no source).
    assert numbers("brake_clearance") == ("fits", 19.677398, 3.0, 16.677398, 2.0)
    assert row("brake_clearance", axle__brake_envelope_mm=[[200.0, -35.0]]).verdict == "no"
    assert row("brake_clearance", wheel__inside_profile_mm=...).missing == ("wheel.inside_profile_mm",)
    beyond = row("brake_clearance", spacer=None, axle__brake_envelope_mm=[[140.0, 40.0]])
    assert (beyond.verdict, beyond.missing) == ("unknown", ("wheel.inside_profile_mm",))


def test_inboard_clearance():
    # -155.24 + 172 = 16.76; 5 mm between tyre and suspension wanted, 8 where it steers (common practice, no
    # source). The tyre may be 4 per cent wider, 2 on each side (UN R30 6.1.4): 2 + 0.02 x 250.48.
    assert numbers("inboard_clearance") == ("fits", 16.76, 8.0, 8.76, 2 + 5.0096)
    assert numbers("inboard_clearance", axle__position="rear") == ("fits", 16.76, 5.0, 11.76, 7.0096)
    assert row("inboard_clearance", axle__steered=False).limit == 5.0
    assert row("inboard_clearance", axle__position="rear", axle__steered=True).limit == 8.0
    assert row("inboard_clearance", axle__required_inboard_clearance_mm=6.0).limit == 6.0
    assert row("inboard_clearance", axle__strut_face_mm=-164.0).verdict == "measure"
    assert row("inboard_clearance", axle__strut_face_mm=-155.0).verdict == "no"
    assert row("inboard_clearance", spacer=None).margin == pytest.approx(8.76 - 15)
    # A stretched tyre: 185 + 0.4 (203.2 - 129.5) = 214.48 < 203.2 + 2 x 13: the rim's flange counts.
    assert row("inboard_clearance", tyre="185/60R18 79H").value == pytest.approx(172 - (114.6 + 30))


def test_inboard_points_above_and_beside_the_tyre():
    # The point 6 mm inboard of the face (-155.24) and 8 mm above the tread (346.5): 10 mm away.
    above = {"axle__strut_face_mm": ..., "axle__inboard_points_mm": [[354.5, -161.24]]}
    assert row("inboard_clearance", **above).value == pytest.approx(10.0)
    beside = {"axle__strut_face_mm": ..., "axle__inboard_points_mm": [[300.0, -165.24], [354.5, -161.24]]}
    assert row("inboard_clearance", **beside).value == pytest.approx(10.0)
    over = {"axle__strut_face_mm": ..., "axle__inboard_points_mm": [[352.5, -100.0]]}
    assert row("inboard_clearance", **over).value == pytest.approx(6.0)


def test_outboard_position_and_cover():
    assert numbers("outboard_position") == ("fits", 95.24, 104.0, 8.76, 7.0096)
    assert numbers("outboard_position", axle__required_cover_mm=3.0) == (
        "measure", 95.24, 101.0, 5.76, 7.0096
    )  # fmt: skip
    assert numbers("outboard_position", axle__arch_lip_mm=85.0)[0] == "no"
    assert numbers("wheel_cover") == ("fits", 95.24, 104.0, 8.76, 7.0096)
    short = row("wheel_cover", axle__guard_front_deg=30.0, axle__guard_rear_deg=45.0)
    assert (short.verdict, short.value, short.limit, short.margin, short.unit) == (
        "no",
        45.0,
        50.0,
        -5.0,
        "deg",
    )
    assert row("wheel_cover", axle__arch_lip_mm=...).missing == ("axle.arch_lip_mm",)
    # The rear edge may end 150 mm above the axis at most (tests/fitment/data/wheel_guard.csv).
    assert numbers("wheel_cover", axle__guard_rear_edge_mm=151.0) == ("no", 151.0, 150.0, -1.0, 2.0)
    assert numbers("wheel_cover", axle__guard_rear_edge_mm=149.0) == ("measure", 149.0, 150.0, 1.0, 2.0)
    assert row("wheel_cover", axle__guard_rear_edge_mm=140.0).limit == 104.0
    assert row("wheel_cover", axle__guard_rear_edge_mm=160.0, axle__arch_lip_mm=...).verdict == "no"


def test_arch_diameter_with_and_without_travel():
    # 2 for the arch, and d + 2H may be 4 per cent of 2H higher (UN R30 6.1.5): 0.04 x 236 = 9.44.
    assert numbers("arch_diameter") == ("fits", 693.0, 720.0, 27.0, 11.44)
    assert numbers("arch_diameter", axle__suspension_travel_mm=20.0)[:4] == ("no", 693.0, 680.0, -13.0)


def test_tyre_on_rim():
    # 235 x 0.70 and x 0.90 to half inches: 6.5 to 8.5 inches.
    assert numbers("tyre_rim_width") == ("fits", 8.0, 8.5, 0.5, 0.0)
    assert numbers("tyre_rim_width", wheel__width_in=9.0)[:4] == ("no", 9.0, 8.5, -0.5)
    assert numbers("tyre_rim_width", wheel__width_in=6.0)[:4] == ("no", 6.0, 6.5, -0.5)
    assert numbers("tyre_rim_width", wheel__diameter_in=17)[:4] == ("no", 17.0, 18.0, -1.0)


def test_loads_and_speed():
    # 101 is 825 kg, H is 210 km/h (UN R30).
    assert numbers("tyre_load") == ("fits", 1600.0, 1650.0, 50.0, 0.0)
    assert numbers("tyre_load", axle__axle_load_kg=1710)[0] == "no"
    assert row("tyre_load", tyre="235/50R18").missing == ("tyre.load_index",)
    assert numbers("tyre_speed") == ("fits", 210.0, 180.0, 30.0, 0.0)
    assert numbers("tyre_speed", tyre="235/50R18 101U XL", axle__max_speed_kmh=205)[0] == "no"
    assert numbers("wheel_load") == ("fits", 800.0, 900.0, 100.0, 0.0)
    # Twin wheels: four of index 107 (975 kg).
    twin = {"tyre": "235/65R16C 109/107T", "axle__dual_wheels": True}
    assert row("tyre_load", **twin).limit == 3900
    assert row("wheel_load", **twin).value == 400


def test_speedometer_with_a_known_original():
    # +3.125 %: at true 40 it shows 40 x 1.05 / 1.03125 = 40.727, 0.727 above; at 80 and 120 more.
    assert numbers("speedometer") == ("fits", 40 * 1.05 / 1.03125, 40.0, 40 * 1.05 / 1.03125 - 40, 0.0)
    assert row("speedometer", axle__speedometer_reads_high_pct=3.0).verdict == "no"
    # It reads 13 % high and the tyre is smaller: 120 x 1.13 / (627/672) = 145.3 > 136.
    small = row("speedometer", axle__speedometer_reads_high_pct=13.0, tyre="205/45R17 88V")
    assert (small.verdict, small.limit) == ("no", 136.0)


def test_speedometer_with_an_unknown_original():
    unknown = {"axle__speedometer_reads_high_pct": ...}
    assert row("speedometer", **unknown).verdict == "measure"
    assert row("speedometer", tyre="205/65R16 107T", **unknown).verdict == "fits"
    # 275/70R18: 457 + 2 x 193 = 843, +25 %: no lawful original bears that (limit 136/120 = +13.3 %).
    assert row("speedometer", tyre="275/70R18 116T", **unknown).verdict == "no"
    # -12.2 % (590/672): 120 x 672/590 = 136.7 > 136: even a truthful original would read too high.
    assert row("speedometer", tyre="205/45R16 83V", **unknown).margin == pytest.approx(136 - 120 * 672 / 590)


def test_track_and_moment():
    # 2 x (51 - 30) = 42 mm on 1628; 800 kg x 9.80665 x 21 mm.
    change = 42 / 16.28
    assert numbers("track_change") == ("fits", change, 4.0, 4 - change, 1.0)
    assert row("track_change", axle__track_change_usual_pct=2.0).verdict == "measure"
    assert row("track_change", axle__track_change_limit_pct=2.0).verdict == "no"
    stated = {"axle__track_change_usual_pct": ..., "axle__track_change_limit_pct": 3.0}
    assert numbers("track_change", **stated) == ("fits", change, 3.0, 3 - change, 0.0)
    unstated = {"axle__track_change_usual_pct": ..., "axle__track_change_limit_pct": ...}
    assert numbers("track_change", **unstated) == ("measure", change, 4.0, 4 - change, 2.0)
    narrower = row("track_change", spacer=None, wheel__offset_mm=56)  # 2 x (51 - 56)
    assert (narrower.value, narrower.margin) == pytest.approx((-10 / 16.28, 1 - 10 / 16.28))
    moment = row("bearing_moment")
    assert (moment.verdict, moment.margin) == ("note", None)
    assert moment.value == pytest.approx(800 * 9.80665 * 0.021)


def test_a_motorcycle_wheel_on_its_own_axle():
    report = judge(
        axle__wheels=1,
        axle__mounting="centre_axle",
        axle__axle_load_kg=200,
        tyre="120/70ZR17 M/C 58W",
        wheel__width_in=3.5,
        wheel__diameter_in=17,
        spacer=None,
        fastener=None,
    )
    notes = {r.id for r in report.checks if r.verdict == "note"}
    assert {"bolt_circle", "centre_bore", "thread_engagement", "wheel_cover", "track_change"} <= notes
    load = report.check("tyre_load")  # 58 is 236 kg, one wheel carries the axle
    assert (load.value, load.limit, load.verdict) == (200.0, 236.0, "fits")
    assert report.check("wheel_load").value == 200.0


def test_the_worst_row_is_the_whole():
    assert judge(axle__arch_lip_mm=96.0).verdict == "measure"
    assert judge(axle__arch_lip_mm=...).verdict == "unknown"
    assert judge(axle__arch_lip_mm=..., wheel__bolt_count=4).verdict == "no"
    assert judge(axle__arch_lip_mm=..., wheel__bolt_count=4).deciding.id == "bolt_circle"
