"""Each check against a value from outside the project, or marked as a practice of the trade.

The table at the end counts: no check has only our own geometry to lean on.
"""

from itertools import product
from pathlib import Path

import pytest

from configurator.fitment import AxleTyres, Vehicle, axle_pairing, parse_tyre
from configurator.fitment.checks import CHECK_IDS
from tests.tables import read_table

from .parts import judge

DATA = Path(__file__).parent / "data"
PRINTED = {row["size"]: row for row in read_table(DATA / "tyre_tables_published.csv")}


def width(size):
    """Section width on the measuring rim as a tyre maker prints it, mm."""
    return float(PRINTED[size]["section_width_mm"])


def diameter(size):
    """Overall diameter as a tyre maker prints it, mm."""
    return float(PRINTED[size]["overall_diameter_mm"])


ON_17 = {"tyre": "225/45R17 94W", "wheel__width_in": 7.5, "wheel__diameter_in": 17, "spacer": None}

# check, changes, which number of the row, its value, how near, where the value comes from
CASES = [
    # 4 1/2 inches are 114.3 mm (international yard and pound agreement, 1959).
    ("bolt_circle", {"axle__bolt_circle_mm": 4.5 * 25.4, "wheel__bolt_circle_mm": 114.3},
     "margin", 0.1, 1e-6),
    # Table of bolt threads: 7.5 turns of M14x1.5 (common practice), pitch of ISO 261.
    ("thread_engagement", {}, "limit", 7.5 * 1.5, 1e-9),
    # Printed section width on the measuring rim; outer face at S/2 - e, inner at -S/2 - e. Below the printed
    # width the rim's flange of 13 mm (ISO 4000-2, contour J) does not yet stand out.
    ("outboard_position", ON_17, "value", width("225/45R17") / 2 - 45, 0.5),
    ("inboard_clearance", ON_17, "value", 172 - (width("225/45R17") / 2 + 45), 0.5),
    ("wheel_cover", ON_17, "value", width("225/45R17") / 2 - 45, 0.5),
    ("wheel_cover", {"axle__guard_rear_deg": 40.0}, "limit", 50.0, 0),
    ("wheel_cover", {"axle__guard_front_deg": 20.0}, "limit", 30.0, 0),
    ("wheel_cover", {"axle__guard_rear_edge_mm": 200.0}, "limit", 150.0, 0),
    # The same printed tyre, its wheel's offset 10 mm less: 10 mm further out.
    ("lock_sweep", ON_17 | {"axle__original_tyre": "225/45R17 94W", "wheel__offset_mm": 45,
                            "axle__original_wheel": {"width_in": 7.5, "diameter_in": 17, "offset_mm": 55}},
     "value", 10.0, 1e-6),
    ("arch_diameter", ON_17, "value", diameter("225/45R17"), 1),
    ("arch_diameter", {"tyre": "275/55R20 117T"}, "value", diameter("275/55R20"), 1),
    ("tyre_rim_width", ON_17 | {"wheel__width_in": 9.0}, "limit",
     float(PRINTED["225/45R17"]["rim_widest_in"] or 8.5), 0),
    # UN R30 annex 4: 94 is 670 kg, as the table prints it too.
    ("tyre_load", ON_17 | {"axle__axle_load_kg": 1000},
     "limit", 2 * float(PRINTED["225/45R17"]["load_kg"]), 0),
    ("tyre_speed", ON_17, "value", 270.0, 0),
    # UN R39 5.3: at 120 km/h the instrument may show up to 0.1 x 120 + 4 more.
    ("speedometer", {"axle__speedometer_reads_high_pct": 13.0, "tyre": "205/45R17 88V"},
     "limit", 136.0, 1e-9),
    # A car of 1800 kg, axles 1.8 m apart, centre of gravity 1.05 m behind the front one: 3675 N under each
    # front wheel, 5145 N under each rear one (NCERT Physics, class XI, part I, exercise on systems of
    # particles; g = 9.8 m/s2).
    ("wheel_load", {"axle__axle_load_kg": 1800 * (1.8 - 1.05) / 1.8}, "value", 3675 / 9.8, 1e-6),
    ("wheel_load", {"axle__axle_load_kg": 1800 * 1.05 / 1.8}, "value", 5145 / 9.8, 1e-6),
    # Standard gravity, 9.80665 m/s2 (3rd CGPM, 1901): 800 kg moved by 21 mm.
    ("bearing_moment", {}, "value", 800 * 9.80665 * 0.021, 1e-6),
    # Table of torque examples, T = K d F (Shigley, eq. 8-27); proof load of M14x1.5 10.9 by ISO 898-1.
    ("clamp_load", {}, "value", 180 / (0.2 * 0.014), 1e-6),
    ("clamp_load", {}, "limit", 104000.0, 0),
    ("twin_spacing", {"axle__dual_wheels": True, "tyre": "225/70R15C 112/110R", "wheel__width_in": 6.5,
                      "wheel__diameter_in": 15}, "limit", 1.125 * width("225/70R15C"), 0.6),
]  # fmt: skip

PRACTICE = {
    "centre_bore": "wheel bore at least the spigot; a larger one needs a ring of that size",
    "spigot_engagement": "3 mm of spigot left, or the spacer's own",
    "spacer_kind": "15 mm a side is an ordinary size; slip-on 3 to 25 mm, bolt-on from 20 mm",
    "fastener_length": "a spacer always brings longer bolts: shank longer by its thickness",
    "brake_clearance": "3 mm or more everywhere",
    "track_change": "2 per cent wider, half a per cent narrower",
    "seat": "cone, ball and flat are three shapes; a fastener of one never goes into a wheel of another",
    "fastener_protrusion": "a bolt stands past the hub's thread by no more than the room that is free there",
}


@pytest.mark.parametrize(("check", "changes", "name", "value", "near"), CASES)
def test_against_the_outside(check, changes, name, value, near):
    found = getattr(judge(**changes).check(check), name)
    assert found == pytest.approx(value, abs=near + 1e-9)


def test_the_pairing_against_printed_diameters():
    front, rear = (AxleTyres(tyre=parse_tyre(s), original_tyre=parse_tyre("225/45R17")) for s in
                   ("225/45R17", "225/40R18"))  # fmt: skip
    row = axle_pairing(Vehicle(drive="four", axle_ratio_limit_pct=1.0), front, rear)
    assert row.value == pytest.approx((diameter("225/45R17") / diameter("225/40R18") - 1) * 100, abs=0.2)


def test_practices_hold_their_figures():
    # All common practice, no source.
    assert judge(wheel__bore_mm=66.5).check("centre_bore").verdict == "no"
    assert judge(wheel__bore_mm=72.6).check("centre_bore").verdict == "fits"
    assert judge().check("spigot_engagement").limit == 3.0
    assert judge().check("spacer_kind").verdict == "fits"
    assert judge(fastener=None).check("fastener_length").value == 27 + 15
    assert judge().check("brake_clearance").limit == 3.0
    shapes = ("cone60", "ball13", "flat")
    for wheel, bolt in product(shapes, shapes):
        found = judge(wheel__seat=wheel, fastener__seat=bolt).check("seat")
        assert found.verdict == ("fits" if wheel == bolt else "no")
    # 15 + 13 + 20 of spacer, wheel and hub, and 8 free behind: 56 mm of shank is the longest.
    drawn = {"axle__tolerance_mm": 0.0}
    assert judge(fastener__shank_mm=56.0, **drawn).check("fastener_protrusion").verdict == "fits"
    assert judge(fastener__shank_mm=56.1, **drawn).check("fastener_protrusion").verdict == "no"
    free = {"axle__track_change_usual_pct": ..., "axle__track_change_limit_pct": ...}
    wider = judge(**free, spacer=None, wheel__offset_mm=51 - 16.28).check("track_change")
    assert (wider.value, wider.verdict) == (pytest.approx(2.0), "fits")
    narrower = judge(**free, spacer=None, wheel__offset_mm=51 + 5).check("track_change")
    assert narrower.verdict == "measure"
    assert judge(**free, spacer=None, wheel__offset_mm=51 + 9).check("track_change").verdict == "no"


def test_checks_without_a_value_from_outside_are_counted():
    outside = {case[0] for case in CASES} | {"axle_pairing"}
    every = {*CHECK_IDS, "axle_pairing"}
    assert outside | set(PRACTICE) == every
    assert not outside & set(PRACTICE)
    # Eight of 24: lengths and shapes that each maker states for his own part, and limits no norm gives.
    assert len(every - outside) <= 8
