"""Messages are values: an id and figures, worded by a table, in English or in any other words."""

import json
import re

import pytest
from hypothesis import given

from configurator.fitment import check_fit, single_changes, suggest_spacers, suggest_tyres
from configurator.fitment.messages import TEMPLATES, UNITS
from configurator.fitment.said import Spec, english, fill, message, plain, told

from .parts import INPUT, judge, read
from .strategies import axles, spacers, tyres, wheels

UNIT = re.compile(rf"_({'|'.join(UNITS)}|count|turns|factor)$")
CODE = re.compile(r"(^|_)(seat|thread|tyre|position|verdict|outcome|check|checks|field|fields)$")


def _well_formed(messages):
    """Every message has a template, which uses every figure, and every figure tells its unit or code."""
    for one in messages:
        names = re.findall(r"\{(\w+)", TEMPLATES[one.id])
        assert set(names) == set(one.figures), one
        for name, value in one.figures.items():
            coded = isinstance(value, str) or (isinstance(value, list) and isinstance(value[0], str))
            assert (CODE if coded else UNIT).search(name), (one.id, name)
        text = english(one.id, one.figures)
        assert "{" not in text
        assert not re.search(r"-\d|−0(?![.\d])|\+0(?![.\d])|\bnan\b|\binf\b", text), text
    json.dumps([one.as_dict() for one in messages], allow_nan=False)


@pytest.mark.long
@given(axles, wheels, tyres, spacers)
def test_every_message_is_well_formed(axle, wheel, tyre, spacer):
    report = check_fit(axle, wheel, tyre, spacer)
    for found in (*report.checks, *report.needs):
        _well_formed(found.messages)


def test_suggestions_are_messages_too():
    given_ = read(fastener=None)
    parts = [None, given_.spacer]
    found = [
        *suggest_spacers(given_.axle, given_.wheel, given_.tyre, parts),
        *suggest_tyres(given_.axle, given_.wheel, [given_.tyre]),
        *single_changes(
            given_.axle, given_.wheel, given_.tyre, given_.spacer, read().fastener, spacers=parts
        ),
    ]
    assert found
    for one in found:
        _well_formed(one.messages)


def test_the_row_and_its_dict_say_the_same():
    row = judge(axle__arch_lip_mm=96.0).check("outboard_position")
    assert (row.message_id, row.figures) == ("outboard_position.tyre", {"face_mm": 95.24, "allowed_mm": 96.0})
    assert row.message == told(row.messages)
    found = row.as_dict()
    assert found["message_id"] == row.message_id
    assert [one["message_id"] for one in found["also"]] == ["row.wider", "row.spare"]
    assert found["message"] == row.message
    assert row.message.endswith("measure on the vehicle before ordering.")


def test_other_words_get_raw_figures():
    asked = []

    def write(key, value, spec):
        asked.append((key, value, spec))
        return f"<{key}>"

    template = "{a_mm} {b_pct:+2} {c_in:#} {d_nm:0} {sum_mm:#}"
    figures = {"a_mm": 1.25, "b_pct": -2, "c_in": 8.0, "d_nm": 3.0, "sum_mm": [27, 15]}
    assert fill(template, figures, write) == "<a_mm> <b_pct> <c_in> <d_nm> <sum_mm>"
    assert [spec for _key, _value, spec in asked] == [
        Spec(1), Spec(2, signed=True), Spec(1, bare=True), Spec(0), Spec(1, bare=True)
    ]  # fmt: skip
    assert [value for _key, value, _spec in asked] == list(figures.values())


@pytest.mark.parametrize(
    ("value", "places", "signed", "text"),
    [
        (42.0, 1, False, "42"), (66.65, 2, False, "66.65"), (-0.04, 1, False, "0"), (-12, 1, False, "−12"),
        (0.04, 1, True, "0"), (1.62, 1, True, "+1.6"), (-1.62, 1, True, "−1.6"), (100.0, 0, False, "100"),
    ],
)  # fmt: skip
def test_numbers_have_one_minus_sign_and_nothing_needless(value, places, signed, text):
    assert plain(value, places, signed=signed) == text


def test_sums_and_lists():
    figures = message("need.bolts", shank_mm=39.0, sum_mm=[27.0, 15.0, -3.0]).figures
    assert english("need.bolts", figures) == (
        "needs 39 mm bolts: 27 + 15 − 3; locking bolts of the same length"
    )
    assert english("mends.no_spacer", {"checks": ["seat", "tyre_load"]}) == (
        "no spacer instead mends seat of the fasteners, load on the tyres"
    )


def test_no_template_is_said_in_vain():
    """Every template can be filled: its placeholders have units or codes of the contract."""
    for name, template in TEMPLATES.items():
        for key in re.findall(r"\{(\w+)", template):
            assert UNIT.search(key) or CODE.search(key), (name, key)
    assert INPUT["tyre"] == english("suggest.tyre_unknown", {"tyre": INPUT["tyre"]}).partition(":")[0]
