"""What one input is answered with: its keys, its figures, and errors beside their fields."""

import pytest

from configurator.fitment import InputErrors, answer_input

from .parts import data, judge


def test_errors_of_both_axles_are_told_together():
    with pytest.raises(InputErrors) as caught:
        answer_input({"vehicle": {"front": 3, "rear": {"tyre": "x"}}})
    assert [error["field"] for error in caught.value.errors] == ["vehicle.front", "vehicle.rear.tyre"]


def test_an_answer_has_its_keys_whatever_was_asked():
    keys = ["verdict", "checks", "needs", "derived"]
    assert list(answer_input(data())) == keys
    alone = answer_input({"vehicle": {"drive": "rear"}})
    assert list(alone) == [*keys, "vehicle"]
    assert (alone["checks"], alone["needs"], alone["derived"]) == ([], [], {})
    assert alone["vehicle"]["checks"][0]["message"].startswith("Not known: ")
    beside = answer_input(data(vehicle={"drive": "rear"}))
    assert [each["id"] for each in beside["checks"]] == [each.id for each in judge().checks]
    assert set(answer_input(data())["derived"]) == set(judge().derived)


def test_figures_are_kept_to_six_decimals():
    found = answer_input(data(wheel__width_in=8.3))
    for value in found["derived"].values():
        assert value is None or value == round(value, 6)
    assert any(value != round(value, 4) for value in found["derived"].values() if value)
    for each in found["checks"]:
        numbers = (each["value"], each["limit"], each["margin"], each["tolerance"])
        assert all(value is None or value == round(value, 6) for value in numbers)


def test_the_fastener_of_an_input_is_judged():
    assert answer_input(data(fastener__shank_mm=20.0))["verdict"] == "no"
    assert answer_input(data(spacer__thickness_mm=26.0))["verdict"] == "no"


def test_the_row_of_the_whole_vehicle_tells_its_figures():
    block = {"drive": "rear", "axle_ratio_limit_pct": 3.0}
    tyres = {"tyre": "225/45R17 94W", "original_tyre": "225/45R17 94W"}
    wider = {"tyre": "225/40R18 92Y", "original_tyre": "225/45R17 94W"}
    (found,) = answer_input({"vehicle": block | {"front": tyres, "rear": wider}})["vehicle"]["checks"]
    # 634 against 637 mm: 432 + 2 x 101 and 457 + 2 x 90.
    value = (634 / 637 - 1) * 100
    assert found["value"] == pytest.approx(value, abs=1e-6)
    assert (found["limit"], found["unit"], found["axle"]) == (3.0, "%", "vehicle")
    assert found["margin"] == pytest.approx(3 + value, abs=1e-6)
    assert found["tolerance"] == pytest.approx(100 / 634 + 100 / 637, abs=1e-6)
    assert found["source"].startswith("UN Regulation No. 30")
    # Whatever one axle's tyre is, nothing is said of two that are not known.
    (half,) = answer_input({"vehicle": block | {"front": tyres}})["vehicle"]["checks"]
    assert half["figures"]["fields"] == ["vehicle.rear.tyre", "vehicle.rear.original_tyre"]


@pytest.mark.parametrize(
    ("obj", "field", "message"),
    [
        ([], "input", "an input is a JSON object with axle, wheel and tyre"),
        ({"vehicle": 3}, "vehicle", "must be an object"),
        ({"vehicle": {"rear": 3}}, "vehicle.rear", "must be an object"),
        ({"vehicle": {"front": data(axle__position="rear")}}, "vehicle.front.axle.position",
         "must be front here"),
        (data(tyre=5), "tyre", "a tyre is given as its designation, a text such as 235/50R18 101H XL"),
        (data(tyre="x"), "tyre", "a tyre begins with its section width in mm, such as 205 (at character 1)"),
    ],
)  # fmt: skip
def test_errors_in_full(obj, field, message):
    with pytest.raises(InputErrors) as caught:
        answer_input(obj)
    assert caught.value.errors == [{"field": field, "message": message}]
