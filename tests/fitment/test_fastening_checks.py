"""How the wheel is held, by hand: circle, bore, spacer, seat, fasteners, clamp load."""

import pytest

from .parts import judge
from .rows import BOLT_ON, numbers, row


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, ("fits", 112.0, 112.0, 0.1, 0.0)),
        ({"wheel__bolt_circle_mm": 112.1}, ("fits", 112.1, 112.0, 0.0, 0.0)),
        ({"wheel__bolt_circle_mm": 114.3}, ("no", 114.3, 112.0, -2.2, 0.0)),
        ({"wheel__bolt_count": 4}, ("no", 4, 5, -1, 0.0)),
        ({"wheel__bolt_count": ...}, ("unknown", None, 5.0, None, 0.0)),
        ({"wheel__bolt_count": ..., "wheel__bolt_circle_mm": 108.0}, ("no", 108.0, 112.0, -3.9, 0.0)),
    ],
)
def test_bolt_circle(changes, expected):
    assert numbers("bolt_circle", **changes) == expected


def test_a_bolt_on_spacer_changes_the_bolt_circle():
    spacer = {"thickness_mm": 25, "kind": "bolt_on", "bore_mm": 66.6, "wheel_bolt_circle_mm": 114.3}
    assert row("bolt_circle", spacer=spacer).verdict == "no"
    assert row("bolt_circle", spacer=spacer, wheel__bolt_circle_mm=114.3).verdict == "fits"
    spacer["bolt_circle_mm"] = 108.0
    assert row("bolt_circle", spacer=spacer, wheel__bolt_circle_mm=114.3).margin == pytest.approx(-3.9)


def test_centre_bore_and_rings():
    assert numbers("centre_bore") == ("fits", 66.6, 66.6, 0.0, 0.0)
    assert numbers("centre_bore", wheel__bore_mm=57.1)[0] == "no"
    assert numbers("centre_bore", spacer__bore_mm=60.1)[:2] == ("no", 60.1)
    report = judge(wheel__bore_mm=72.6)
    assert report.check("centre_bore").verdict == "fits"
    assert [n.as_dict() for n in report.needs] == [
        {
            "what": "centring_ring",
            "count": 2,
            "inner_mm": 66.6,
            "outer_mm": 72.6,
            "message": "needs centring rings 66.6 to 72.6 mm in the wheel",
            "message_id": "need.ring_wheel",
            "figures": {"inner_mm": 66.6, "outer_mm": 72.6},
            "also": [],
        }
    ]
    assert row("centre_bore", spacer__spigot_diameter_mm=72.6, wheel__bore_mm=72.6).margin == 0
    assert row("centre_bore", spacer__bore_mm=...).missing == ("spacer.bore_mm",)


def test_spigot_engagement():
    # 12 mm of spigot less the spacer, or the spacer's own; 3 mm wanted (common practice, no source).
    assert numbers("spigot_engagement") == ("fits", 10.0, 3.0, 7.0, 0.0)
    thin = {"thickness_mm": 5, "kind": "slip_on", "bore_mm": 66.6, "spigot_height_mm": 0, "tolerance_mm": 0}
    assert numbers("spigot_engagement", spacer=thin) == ("fits", 7.0, 3.0, 4.0, 2.0)
    assert numbers("spigot_engagement", spacer=thin | {"thickness_mm": 8})[0] == "measure"
    assert numbers("spigot_engagement", spacer=thin | {"thickness_mm": 15})[:2] == ("no", -3.0)
    del thin["spigot_height_mm"]
    assert row("spigot_engagement", spacer=thin).verdict == "fits"
    assert row("spigot_engagement", spacer=thin | {"thickness_mm": 15}).missing == (
        "spacer.spigot_height_mm",
    )
    assert numbers("spigot_engagement", spacer=None) == ("fits", 12.0, 3.0, 9.0, 2.0)


def test_spacer_kind():
    # Least thicknesses are common practice, no source: slip-on 3 mm, bolt-on 20 mm.
    assert numbers("spacer_kind", spacer=None) == ("fits", 0.0, 0.0, 0.0, 0.0)
    assert numbers("spacer_kind", spacer__spigot_height_mm=0) == ("fits", 15.0, 25.0, 10.0, 0.0)
    # Its own spigot cannot sit over a hub spigot of 12 mm when it is 10 mm thick.
    assert numbers("spacer_kind", spacer__thickness_mm=10) == ("no", 10.0, 12.0, -2.0, 2.0)
    # A lip of the hub's own diameter leaves no wall for a recess; one of 72.6 mm leaves 3 mm.
    recessed = {"spacer__thickness_mm": 10, "spacer__spigot_recess_mm": 5}
    assert row("spacer_kind", **recessed).verdict == "no"
    assert row("spacer_kind", **recessed, spacer__spigot_diameter_mm=72.6).verdict == "fits"
    assert row("spacer_kind", **recessed, spacer__spigot_diameter_mm=70.4).verdict == "no"
    assert row("spacer_kind", **recessed, spacer__spigot_diameter_mm=70.6).verdict == "fits"
    assert numbers("spacer_kind", spacer__thickness_mm=25.5)[:4] == ("no", 25.5, 25.0, -0.5)
    assert row("spacer_kind", spacer__thickness_mm=25.5, spacer__max_thickness_mm=30.0).verdict == "fits"
    assert row("spacer_kind", spacer__thickness_mm=40, spacer__kind="bolt_on").verdict == "fits"
    assert row("spacer_kind", spacer__kind="bolt_on").margin == -5
    assert row("spacer_kind", spacer__count=2).verdict == "no"
    assert row("spacer_kind", spacer__kind=...).missing == ("spacer.kind",)


def test_studs_must_not_stand_past_a_bolt_on_spacer():
    nuts = {"axle__fastener": "nut", "axle__stud_length_mm": 32.0, "axle__tolerance_mm": 0.0}
    spacer = {"thickness_mm": 25, "kind": "bolt_on", "bore_mm": 66.6, "spigot_height_mm": 0}
    assert numbers("spacer_kind", spacer=spacer, **nuts)[:4] == ("no", 25.0, 32.0, -7.0)
    assert row("spacer_kind", spacer=spacer, wheel__pocket_depth_mm=10.0, **nuts).margin == 3
    assert row("spacer_kind", spacer=spacer, axle__fastener="nut").missing == ("axle.stud_length_mm",)


def test_seat():
    assert row("seat").verdict == "fits"
    assert row("seat", fastener__seat="ball13").verdict == "no"
    assert row("seat", wheel__seat="cone90").verdict == "no"
    assert row("seat", wheel__seat="ball_r13", fastener__seat="ball13").verdict == "fits"
    assert row("seat", fastener__seat=...).missing == ("fastener.seat",)
    assert row("seat", fastener=None, wheel__seat="ball13").verdict == "fits"


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, ("fits", 42.0, 42.0, 3.0, 0.0)),  # 27 + 15 + (13 - 13)
        ({"wheel__seat_thickness_mm": 10.0}, ("fits", 42.0, 39.0, 0.0, 0.0)),
        ({"fastener__shank_mm": 27.0}, ("no", 27.0, 42.0, -12.0, 0.0)),
        ({"fastener__shank_mm": 45.0}, ("fits", 45.0, 42.0, 0.0, 0.0)),
        ({"spacer": None, "fastener": None}, ("fits", 27.0, 27.0, 3.0, 0.0)),
    ],
)
def test_fastener_length(changes, expected):
    assert numbers("fastener_length", **changes) == expected


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        # 42 - 15 - 13 = 14 mm of 20; 7.5 turns x 1.5 = 11.25 wanted (common practice, no source).
        ({}, ("fits", 14.0, 11.25, 2.75, 0.0)),
        ({"fastener__shank_mm": 27.0}, ("no", 0.0, 11.25, -11.25, 0.0)),
        ({"axle__hub_thread_mm": 12.0}, ("measure", 12.0, 11.25, 0.75, 2.0)),
        ({"fastener__thread": "M12x1.5"}, ("no", 0.0, 9.75, -9.75, 0.0)),
        ({"fastener__tolerance_mm": 1.0}, ("fits", 14.0, 11.25, 2.75, 1.0)),
        # A bolt-on spacer: 27 - 13 = 14 mm into its own 25 mm.
        (
            {**BOLT_ON, "spacer__steel_inserts": True},
            ("fits", 14.0, 11.25, 2.75, 0),
        ),
        ({**BOLT_ON, "spacer__material": "steel"}, ("fits", 14.0, 11.25, 2.75, 0)),
        # In aluminium 1.5 x 14 = 21 mm are wanted (common practice, no source).
        ({**BOLT_ON, "spacer__material": "aluminium"}, ("no", 14.0, 21.0, -7.0, 0)),
        (BOLT_ON, ("unknown", 14.0, None, None, 0)),
        ({**BOLT_ON, "axle__original_shank_mm": 34.0}, ("fits", 21.0, 21.0, 0.0, 0)),
        ({**BOLT_ON, "axle__original_shank_mm": 24.0}, ("no", 11.0, 11.25, -0.25, 0)),
        # Its bolts in the hub, where they are stated: 30 - 18 = 12 of 20 mm.
        (
            {
                **BOLT_ON,
                "spacer__steel_inserts": True,
                "spacer__hub_shank_mm": 30.0,
                "spacer__hub_seat_thickness_mm": 18.0,
            },
            ("measure", 12.0, 11.25, 0.75, 2.0),
        ),
        (
            {
                **BOLT_ON,
                "spacer__material": "steel",
                "spacer__hub_shank_mm": 25.0,
                "spacer__hub_seat_thickness_mm": 18.0,
            },
            ("no", 7.0, 11.25, -4.25, 2.0),
        ),
    ],
)
def test_thread_engagement(changes, expected):
    assert numbers("thread_engagement", **changes) == expected


def test_studs_and_nuts():
    nuts = {"axle__fastener": "nut", "axle__stud_length_mm": 44.0, "fastener__shank_mm": ...}
    # 44 - 15 - 13 = 16 mm for the nut; 15 + 13 + 11.25 = 39.25 mm of stud wanted.
    assert numbers("thread_engagement", **nuts) == ("fits", 16.0, 11.25, 4.75, 2.0)
    assert numbers("fastener_length", **nuts) == ("fits", 44.0, 39.25, 4.75, 2.0)
    assert row("fastener_protrusion", **nuts).verdict == "note"
    report = judge(**nuts | {"axle__stud_length_mm": 35.0})
    assert report.check("thread_engagement").verdict == "no"
    assert [(n.what, n.numbers) for n in report.needs] == [("stud", (("length_mm", 39.25),))]


def test_fastener_protrusion():
    # 42 - 15 - 13 - 20 = -6: short of the thread's end; 8 mm are free past it.
    assert numbers("fastener_protrusion") == ("fits", -6.0, 8.0, 14.0, 4.0)
    assert numbers("fastener_protrusion", fastener__shank_mm=57.0)[:4] == ("no", 9.0, 8.0, -1.0)
    assert row("fastener_protrusion", axle__free_depth_behind_hub_mm=...).missing == (
        "axle.free_depth_behind_hub_mm",
    )


def test_clamp_load():
    # 180 / (0.2 x 0.014) = 64,286 N against 104,000 N (ISO 898-1, M14x1.5, 10.9).
    # K scatters by 25 per cent (handbook): 1 / 0.75 of it at most, 1 / 1.25 at least.
    preload = 180 / 0.0028
    assert numbers("clamp_load") == ("fits", preload, 104000.0, 104000 - preload, preload / 3)
    assert row("clamp_load", axle__torque_nm=220).verdict == "measure"
    low = 40 / 0.0028
    assert numbers("clamp_load", axle__torque_nm=40) == ("no", low, 31200.0, low - 31200, low / 5)
    assert numbers("clamp_load", axle__torque_nm=5)[0] == "no"
    assert row("clamp_load", axle__torque_nm=100).verdict == "measure"
    assert row("clamp_load", axle__torque_nm=110).verdict == "fits"
    assert row("clamp_load", fastener__property_class="8.8", axle__torque_nm=210).verdict == "no"
    assert row("clamp_load", axle__torque_nm=...).missing == ("axle.torque_nm",)


def test_needs_name_the_bolts_to_get():
    report = judge(fastener=None)
    assert [n.as_dict() for n in report.needs] == [
        {
            "what": "fastener",
            "count": 10,
            "shank_mm": 42.0,
            "seat": "cone60",
            "thread": "M14x1.5",
            "property_class": "10.9",
            "kind": "bolt",
            "message": "needs 42 mm bolts: 27 + 15; locking bolts of the same length",
            "message_id": "need.bolts",
            "figures": {"shank_mm": 42.0, "sum_mm": [27.0, 15.0]},
            "also": [],
        }
    ]
    assert report.check("thread_engagement").margin == pytest.approx(2.75)
    assert report.check("fastener_length").message == "This fit needs 42 mm bolts: 27 + 15."
    assert judge(fastener=None, spacer=None, axle__strut_face_mm=-200.0).needs == ()
    seat = judge(fastener=None, spacer=None, axle__strut_face_mm=-200.0, wheel__seat="ball13")
    assert dict(seat.needs[0].numbers)["seat"] == "ball13"
    wrong = judge(fastener__shank_mm=27.0)
    assert dict(wrong.needs[0].numbers)["shank_mm"] == 42.0
