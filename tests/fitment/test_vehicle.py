"""The whole vehicle: front against rear circumference, by the original pairing; and `check_fit`'s block."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.fitment import AxleTyres, InputErrors, Vehicle, answer_input, axle_pairing, parse_tyre

from .parts import INPUT, data

FOUR = {"drive": "four", "axle_ratio_limit_pct": 1.0}
SIZES = (
    "205/55R16 91V",
    "225/45R17 94W",
    "225/40R18 92Y",
    "235/35R19 91Y",
    "265/65R17 112T",
    "275/55R20 117T",
)


def tyres(now, original=SIZES[0]):
    return AxleTyres(tyre=parse_tyre(now), original_tyre=parse_tyre(original))


def judged(front, rear, originals=(SIZES[0], SIZES[0]), **vehicle):
    return axle_pairing(Vehicle(**(FOUR | vehicle)), tyres(front, originals[0]), tyres(rear, originals[1]))


def test_worked_by_hand():
    # 265/65R17 is 432 + 2 x 172 = 776, 275/55R20 is 508 + 2 x 151 = 810: 4.2 per cent apart (both printed in
    # tests/fitment/data/tyre_tables_published.csv).
    row = judged(SIZES[4], SIZES[5], (SIZES[4], SIZES[4]))
    assert (row.verdict, row.axle, row.unit) == ("no", "vehicle", "%")
    assert row.value == pytest.approx((776 / 810 - 1) * 100)
    assert row.margin == pytest.approx(1 - (1 - 776 / 810) * 100)
    assert row.message_id == "axle_pairing.no_four"
    assert judged(SIZES[4], SIZES[5], (SIZES[4], SIZES[4]), drive="rear").message_id == "axle_pairing.no"


def test_the_original_pairing_is_what_counts():
    # A vehicle made with different sizes keeps them; the same on both axles is then a change.
    mixed = (SIZES[0], SIZES[4])
    assert judged(*mixed, mixed).verdict == "fits"
    assert judged(*mixed, mixed).value == 0
    assert judged(SIZES[0], SIZES[0], mixed).verdict == "no"


def test_close_to_the_limit_is_measured():
    # 225/45R17 634, 205/55R16 632: 0.32 per cent; rounded design sizes are known to 100 (1/634 + 1/632).
    row = judged(SIZES[1], SIZES[0], axle_ratio_limit_pct=0.5)
    assert row.value == pytest.approx((634 / 632 - 1) * 100)
    assert row.tolerance == pytest.approx(100 / 634 + 100 / 632)
    assert row.verdict == "measure"
    assert judged(SIZES[1], SIZES[0]).verdict == "fits"


@pytest.mark.parametrize(
    ("vehicle", "front", "missing"),
    [
        ({"drive": None}, tyres(SIZES[0]), "vehicle.drive"),
        ({"axle_ratio_limit_pct": None}, tyres(SIZES[0]), "vehicle.axle_ratio_limit_pct"),
        ({}, AxleTyres(original_tyre=parse_tyre(SIZES[0])), "vehicle.front.tyre"),
        ({}, AxleTyres(tyre=parse_tyre(SIZES[0])), "vehicle.front.original_tyre"),
        ({}, tyres("185R14C 102/100R"), "vehicle.front.tyre.overall_diameter_mm"),
    ],
)
def test_what_is_not_known_is_said(vehicle, front, missing):
    row = axle_pairing(Vehicle(**(FOUR | vehicle)), front, tyres(SIZES[0]))
    assert (row.verdict, row.missing, row.margin) == ("unknown", (missing,), None)


sizes = st.sampled_from(SIZES)


@given(sizes, sizes, sizes, sizes)
def test_the_same_change_on_both_axles_changes_nothing(front, rear, old_front, old_rear):
    there = judged(front, rear, (old_front, old_rear)).value
    back = judged(rear, front, (old_rear, old_front)).value
    assert (1 + there / 100) * (1 + back / 100) == pytest.approx(1)
    assert judged(front, front, (old_front, old_front)).value == pytest.approx(0, abs=1e-9)


BLOCK = {
    **FOUR,
    "front": {"tyre": SIZES[4], "original_tyre": SIZES[4]},
    "rear": {"tyre": SIZES[5], "original_tyre": SIZES[4]},
}


def test_a_vehicle_block_alone():
    found = answer_input({"vehicle": BLOCK})
    assert (found["verdict"], found["checks"]) == ("no", [])
    assert [row["id"] for row in found["vehicle"]["checks"]] == ["axle_pairing"]
    assert "front" not in found["vehicle"]


def test_a_vehicle_block_beside_an_axle():
    rear = {"tyre": "205/65R16C 107/105T", "original_tyre": "205/65R16C 107/105T"}
    found = answer_input(data(vehicle=FOUR | {"rear": rear}))
    # The axle of the input stands for the front: 693 against 672, 3.1 per cent.
    assert found["vehicle"]["checks"][0]["value"] == pytest.approx(3.125)
    assert (found["verdict"], found["vehicle"]["verdict"]) == ("no", "no")
    assert "ignored" not in found
    assert answer_input(INPUT)["verdict"] == "fits"
    assert "vehicle" not in answer_input(INPUT)
    loose = answer_input(data(vehicle=FOUR | {"axle_ratio_limit_pct": 5.0, "rear": rear}))
    assert (loose["verdict"], loose["vehicle"]["verdict"]) == ("fits", "fits")
    other = answer_input(data(axle__position="rear", vehicle=FOUR | {"rear": rear}))
    assert other["vehicle"]["checks"][0]["verdict"] == "unknown"


def test_a_vehicle_of_two_whole_axles():
    rear = data(axle__position="rear", wheel__bolt_count=4)
    found = answer_input({"vehicle": FOUR | {"front": INPUT, "rear": rear}})
    assert found["vehicle"]["checks"][0]["verdict"] == "fits"
    assert found["vehicle"]["front"]["verdict"] == "fits"
    assert found["vehicle"]["rear"]["verdict"] == "no"
    assert found["verdict"] == "no"


@pytest.mark.parametrize(
    ("obj", "field"),
    [
        ({"vehicle": []}, "vehicle"),
        ({"vehicle": FOUR | {"drive": "both"}}, "vehicle.drive"),
        ({"vehicle": FOUR | {"axle_ratio_limit_pct": "1"}}, "vehicle.axle_ratio_limit_pct"),
        ({"vehicle": FOUR | {"front": 3}}, "vehicle.front"),
        ({"vehicle": FOUR | {"front": {"tyre": "x"}}}, "vehicle.front.tyre"),
        ({"vehicle": FOUR | {"rear": INPUT}}, "vehicle.rear.axle.position"),
        ({"vehicle": FOUR | {"front": data(wheel__width_in=-1)}}, "vehicle.front.wheel.width_in"),
        (data(wheel__width_in=-1, vehicle=FOUR), "wheel.width_in"),
        ({}, "axle"),
        ([], "input"),
    ],
)
def test_errors_stand_beside_their_field(obj, field):
    with pytest.raises(InputErrors) as caught:
        answer_input(obj)
    assert caught.value.errors[0]["field"] == field


def test_what_means_nothing_is_named():
    found = answer_input({"vehicle": BLOCK | {"colour": "red"}, "note": 1})
    assert found["ignored"] == ["note", "vehicle.colour"]
    whole = FOUR | {"front": data(axle__arch=1), "rear": data(axle__position="rear")}
    assert answer_input({"vehicle": whole})["ignored"] == ["vehicle.front.axle.arch"]
