"""What a fit brings along, as the command prints it: parts with sizes, what to measure, what to find out."""

import pytest

from configurator.fitment import cautions, check_fit

from .parts import judge, read
from .rows import BOLT_ON

NUTS = {"axle__fastener": "nut", "axle__stud_length_mm": 44.0, "fastener": None}


def needs(**changes):
    return [need.as_dict() for need in judge(**changes).needs]


def to_get(**changes):
    return [need for need in needs(**changes) if need["what"] != "measure"]


def test_a_fit_with_everything_on_it_needs_nothing():
    assert needs() == []


def test_nuts_for_another_seat():
    assert needs(**NUTS) == []
    assert needs(**NUTS, wheel__seat="ball13") == [
        {
            "what": "fastener",
            "count": 10,
            "seat": "ball13",
            "thread": "M14x1.5",
            "kind": "nut",
            "message": "needs nuts with seat a ball of 13 mm radius",
            "message_id": "need.nuts",
            "figures": {"wheel_seat": "ball13"},
            "also": [],
        }
    ]
    # Nuts that were chosen count, not those the vehicle was made with.
    chosen = {"seat": "ball13", "thread": "M14x1.5", "property_class": "10.9"}
    assert needs(**NUTS | {"fastener": chosen}, wheel__seat="ball13") == []
    wrong = needs(**NUTS | {"fastener": chosen})
    assert [(need["seat"], need["kind"]) for need in wrong if need["what"] == "fastener"] == [
        ("cone60", "nut")
    ]


def test_studs_long_enough_for_metal_and_thread():
    # 15 + 13 + 7.5 x 1.5 = 39.25 mm.
    assert needs(**NUTS | {"axle__stud_length_mm": 39.25}, axle__tolerance_mm=0.0) == []
    (stud, *rest) = needs(**NUTS | {"axle__stud_length_mm": 39.0})
    assert stud == {
        "what": "stud",
        "count": 10,
        "length_mm": 39.25,
        "message": "needs studs of at least 39.2 mm",
        "message_id": "need.studs",
        "figures": {"stud_mm": 39.25},
        "also": [],
    }
    assert rest == []
    # Behind a bolt-on spacer the hub's studs do not reach the wheel.
    behind = to_get(**NUTS | BOLT_ON | {"axle__stud_length_mm": 20.0}, spacer__stud_length_mm=40.0)
    assert [need["what"] for need in behind] == ["hub_fastener"]


def test_bolts_between_hub_and_bolt_on_spacer():
    found = to_get(**BOLT_ON, spacer__steel_inserts=True)
    assert found == [
        {
            "what": "hub_fastener",
            "count": 10,
            "thread": "M14x1.5",
            "kind": "bolt",
            "message": "bolts between hub and spacer: supplied with the spacer, check that they are there",
            "message_id": "need.hub_bolts",
            "figures": {},
            "also": [],
        }
    ]
    (alone,) = [n for n in needs(**BOLT_ON, axle__bolt_count=...) if n["what"] == "hub_fastener"]
    assert alone["count"] is None
    (plain,) = [n for n in needs(**BOLT_ON, axle__thread=...) if n["what"] == "hub_fastener"]
    assert "thread" not in plain
    assert needs(**BOLT_ON, axle__fastener=...)[0]["what"] != "hub_fastener"


def test_a_spacer_with_more_holes_for_the_wheel_takes_as_many_bolts():
    six = {**BOLT_ON, "spacer__steel_inserts": True, "spacer__wheel_bolt_count": 6, "wheel__bolt_count": 6}
    found = to_get(**six, wheel__seat="ball13")
    assert {need["what"]: need["count"] for need in found} == {"fastener": 12, "hub_fastener": 10}


def test_bolts_are_named_when_length_or_seat_differ():
    assert needs(fastener=None, spacer=None, axle__strut_face_mm=-200.0) == []
    (seat,) = needs(fastener=None, spacer=None, axle__strut_face_mm=-200.0, wheel__seat="ball13")
    assert (seat["seat"], seat["shank_mm"], seat["message"]) == (
        "ball13",
        27.0,
        "needs 27 mm bolts: 27; locking bolts of the same length",
    )
    unknown = needs(fastener=None, spacer=None, axle__strut_face_mm=-200.0, wheel__seat=...)
    assert [(need["what"], need.get("field")) for need in unknown] == [("input", "wheel.seat")]
    bare = needs(fastener=None, axle__property_class=..., axle__thread=...)[0]
    assert {"thread", "property_class"}.isdisjoint(bare)
    assert bare["shank_mm"] == 42.0
    assert needs(fastener=None, wheel__seat_thickness_mm=12.5)[0]["shank_mm"] == 41.5
    # Half a hundredth is no other length.
    assert needs(fastener__shank_mm=42.004) == []
    assert needs(fastener__shank_mm=42.006)[0]["shank_mm"] == 42.0


@pytest.mark.parametrize(("bore", "count"), [(66.6, 0), (66.7, 0), (66.71, 1), (72.6, 1)])
def test_rings_from_a_tenth_of_a_millimetre(bore, count):
    found = [need for need in needs(spacer__bore_mm=bore) if need["what"] == "centring_ring"]
    assert len(found) == count
    if count:
        assert found[0]["message_id"] == "need.ring_spacer"
        assert (found[0]["inner_mm"], found[0]["outer_mm"], found[0]["count"]) == (66.6, bore, 2)


def test_a_motorcycle_takes_nothing_of_a_hub():
    bike = {
        "axle__mounting": "centre_axle",
        "axle__wheels": 1,
        "wheel__seat": "ball13",
        "wheel__bore_mm": 90.0,
    }
    assert {need["what"] for need in needs(**bike, fastener=None)} <= {"measure", "input"}


def test_what_is_close_is_measured_and_says_why():
    (found,) = [need for need in needs(axle__arch_lip_mm=98.0) if need["check"] == "outboard_position"]
    assert (found["what"], found["count"], found["message_id"]) == ("measure", None, "need.measure")
    assert [one["message_id"] for one in found["also"]] == [
        "outboard_position.tyre",
        "row.wider",
        "row.spare",
    ]
    assert found["message"].startswith("settle before ordering: The tyre's outer face stands 95.2 mm out")


def test_what_is_not_known_is_asked_for_once():
    found = needs(axle__axle_load_kg=...)
    assert [(need["what"], need["field"]) for need in found] == [("input", "axle.axle_load_kg")]
    assert found[0]["message"] == "the axle load is not known"


def placed(report, *parts):
    return [(one.id, one.where, one.message.id) for one in cautions(report, *parts)]


def test_cautions_stand_where_their_work_is():
    given = read()
    report = check_fit(given.axle, given.wheel, given.tyre, given.spacer, given.fastener)
    assert placed(report, given.axle, given.spacer) == [
        ("advice", "verdict", "caution.advice"),
        ("torque", "assembly", "caution.torque"),
        ("mating_faces", "assembly", "caution.mating_faces"),
        ("spacer", "specification", "caution.spacer_slip_on"),
        ("track", "specification", "caution.track"),
        ("recheck", "handover", "caution.recheck"),
        ("insurer", "handover", "caution.insurer"),
    ]
    torque = cautions(report, given.axle)[1].message.figures
    # T = K d F: with K = 0.12 in place of 0.20 the same torque draws 0.20 / 0.12 times as hard.
    assert torque == {"torque_nm": 180, "oiled_factor": pytest.approx(0.20 / 0.12, abs=1e-6)}
    unchanged = check_fit(given.axle, read(wheel__offset_mm=51).wheel, given.tyre)
    assert unchanged.derived["track_change_mm"] == 0
    assert "track" not in [found for found, _, _ in placed(unchanged, given.axle)]
    close = judge(axle__arch_lip_mm=98.0)
    assert placed(close)[1] == ("torque", "assembly", "caution.torque_unknown")
    assert ("measure", "verdict", "caution.measure") in placed(close)
    unknown = judge(axle__arch_lip_mm=...)
    assert ("measure", "verdict", "caution.measure") in placed(unknown)
    bolt_on = read(**BOLT_ON)
    assert ("spacer", "specification", "caution.spacer_bolt_on") in placed(
        report, bolt_on.axle, bolt_on.spacer
    )
