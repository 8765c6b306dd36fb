"""The border: every error named beside its field, and nothing ever a traceback."""

import json
import random
from copy import deepcopy

import pytest

from configurator.fitment import InputErrors, answer_input, read_input
from configurator.json_input import answered, respond_to

from .parts import INPUT, data


def answer(obj):
    return answered(obj, answer_input)


def answer_bytes(content):
    return respond_to(content, answer_input, "file")


def errors(**changes):
    with pytest.raises(InputErrors) as caught:
        read_input(data(**changes))
    return {e["field"]: e["message"] for e in caught.value.errors}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"axle__position": "middle"}, "axle.position"),
        ({"axle__position": ...}, "axle.position"),
        ({"axle__bolt_count": True}, "axle.bolt_count"),
        ({"axle__bolt_count": 5.5}, "axle.bolt_count"),
        ({"axle__bolt_count": 0}, "axle.bolt_count"),
        ({"axle__bolt_circle_mm": "112"}, "axle.bolt_circle_mm"),
        ({"axle__torque_nm": float("nan")}, "axle.torque_nm"),
        ({"axle__torque_nm": float("inf")}, "axle.torque_nm"),
        ({"axle__axle_load_kg": -1}, "axle.axle_load_kg"),
        ({"axle__axle_load_kg": 10**400}, "axle.axle_load_kg"),
        ({"axle__original_tyre": "205/65"}, "axle.original_tyre"),
        ({"axle__original_wheel": {"width_in": 65}}, "axle.original_wheel.width_in"),
        ({"axle__brake_envelope_mm": [[1, 2], [3]]}, "axle.brake_envelope_mm.1.1"),
        ({"axle__brake_envelope_mm": []}, "axle.brake_envelope_mm"),
        ({"axle__thread": "M14"[:1]}, "axle.thread"),
        ({"axle__property_class": "11"}, "axle.property_class"),
        ({"wheel__seat": "square"}, "wheel.seat"),
        ({"wheel__width_in": 800}, "wheel.width_in"),
        ({"wheel": []}, "wheel"),
        ({"wheel": None}, "wheel"),
        ({"spacer": {"kind": "slip_on"}}, "spacer.thickness_mm"),
        ({"spacer__thickness_mm": 0}, "spacer.thickness_mm"),
        ({"tyre": 235}, "tyre"),
        ({"tyre": "235/50R18 101HX"}, "tyre"),
        ({"tyre": "\ud800"}, "tyre"),
    ],
)
def test_an_error_stands_beside_its_field(changes, field):
    found = errors(**changes)
    assert list(found) == [field]
    assert found[field]


def test_all_errors_are_gathered():
    found = errors(axle__bolt_count="x", wheel__width_in=-8, tyre="x", spacer__kind="glue", fastener=7)
    assert set(found) == {"axle.bolt_count", "wheel.width_in", "tyre", "spacer.kind", "fastener"}


def test_the_contracts_input_is_read():
    given = read_input(INPUT)
    assert given.axle.original_tyre.load_index == 107
    assert given.axle.brake_envelope_mm == ((178.0, -35.0), (140.0, 20.0))
    assert given.ignored == ()


def test_a_field_that_means_nothing_is_named():
    found, understood = answer(data(axle__arch_lip=90, note="for the shop"))
    assert understood
    assert found["ignored"] == ["note", "axle.arch_lip"]
    assert found["verdict"] == "fits"


@pytest.mark.parametrize(
    ("content", "part"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        (b"{", "JSON"),
        (b'{"a": NaN}', "NaN"),
        (b"\xff\xfe{", "UTF-8"),
        (b"[" * 200_000, "deep"),
        (b"9" * 10_000, "digits"),
        (b'{"axle": {}, "axle": {}}', "twice"),
    ],
)
def test_documents_that_are_not_json(content, part):
    found, understood = answer_bytes(content)
    assert not understood
    assert [e["field"] for e in found["errors"]] == ["file"]
    assert part in found["errors"][0]["message"]


def test_an_array_answers_in_its_order():
    found, understood = answer([INPUT, 3, data(wheel__bolt_count=4)])
    assert not understood
    assert [one.get("verdict") for one in found] == ["fits", None, "no"]
    assert found[1]["errors"][0]["field"] == "input"
    assert answer([]) == ([], True)


JUNK = [
    *(None, True, False, 0, -1, 1e308, -1e308, 10**30, 5e-324, float("nan"), float("inf"), "", "x", "\ud800"),
    *(
        [],
        {},
        [[]],
        [[1]],
        [[1, 2, 3]],
        [[None, None]],
        {"a": {"b": []}},
        "cone60",
        "M14x1.5",
        "M1x9",
        "10.9",
    ),
    *("235/50R18 101H XL", "front", [[1.0, 2.0]] * 70, {"width_in": True}, 1.5, 112, [0] * 5, "9" * 5000),
]


def _spoil(rnd, obj):
    """Put junk in some places of an input, drop and add others."""
    spoilt = deepcopy(obj)
    for _ in range(rnd.randint(1, 4)):
        place = spoilt
        while True:
            key = rnd.choice(list(place) if isinstance(place, dict) else range(len(place)))
            if isinstance(place[key], (dict, list)) and place[key] and rnd.random() < 0.7:
                place = place[key]
                continue
            break
        if rnd.random() < 0.2 and isinstance(place, dict):
            place[rnd.choice(["", "x", "\udfff", "kind"])] = rnd.choice(JUNK)
        else:
            place[key] = deepcopy(rnd.choice(JUNK))
    return spoilt


@pytest.mark.long
def test_5000_random_shapes_are_answered_without_a_traceback():
    rnd = random.Random(5000)
    refused = 0
    for _ in range(5000):
        obj = _spoil(rnd, INPUT) if rnd.random() < 0.9 else rnd.choice(JUNK)
        found, understood = answer(obj)
        text = json.dumps(found, allow_nan=False)
        assert json.loads(text) == found
        refused += not understood
    assert 1000 < refused < 4900
