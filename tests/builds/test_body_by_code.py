"""A body colour that is none of the listed ones: stated by its code, matched where something is painted."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from configurator.builds import changing, quoting
from configurator.builds.choices import choices
from configurator.builds.evaluate import evaluate
from configurator.builds.looks import look_of
from configurator.builds.selection import Selection

from .builds import van


def by_code(code: str = "LX 3D", **more) -> Selection:
    plain = van(**more).model_dump()
    return Selection(**plain | {"body_finish": None, "body_hex": "#123456", "body_code": code})


@pytest.fixture(scope="module")
def painted(catalogue) -> str:
    """An option of the van that may be had in body colour and needs nothing else."""
    found = (
        one.code
        for one in catalogue.options.values()
        if "body" in one.finish_choices and one.paint_system and one.recipe
    )
    return next(
        code for code in found if evaluate(van(options=(code,), finishes={code: "body"}), catalogue).sendable
    )


def test_the_build_says_the_code_and_shows_the_tone(catalogue):
    found = evaluate(by_code(), catalogue)
    assert found.body.name == "colour code LX 3D"
    assert found.body.paint_code == "LX 3D"
    assert found.body.hex == "#123456"
    assert "LX 3D" in found.summary[0]
    assert look_of(by_code(), catalogue)[1].body_hex == "#123456"
    assert not [one for one in found.problems if one.field == "body_finish"]


def test_paint_is_ordered_by_code_to_be_matched(catalogue, painted):
    found = evaluate(by_code(options=(painted,), finishes={painted: "body"}), catalogue)
    coats = [line for line in found.parts if line.kind == "paint" and line.facts.finish]
    assert coats
    assert {line.facts.finish for line in coats} == {"colour code LX 3D, to be matched"}
    assert {line.facts.paint_code for line in coats} == {"LX 3D"}
    assert not [one for one in found.problems if one.asks]


def test_matching_has_its_step_and_its_price(catalogue, painted):
    chosen = {"options": (painted,), "finishes": {painted: "body"}}
    listed = evaluate(van(**chosen), catalogue)
    found = evaluate(by_code(**chosen), catalogue)
    more = {step.key for step in found.work.steps} - {step.key for step in listed.work.steps}
    assert "matched-colour" in more
    line = next(one for one in found.price.lines if one.choice == "body")
    assert line.label == "Your vehicle's colour, matched and sampled"
    assert found.price.total - listed.price.total == line.amount > 0
    assert quoting.total(by_code(**chosen), catalogue) == found.price.total
    (row,) = [one for one in choices(found, catalogue) if one.tokens == ("body",)]
    assert row.undo is None
    assert row.amount == line.amount


def test_nothing_painted_in_it_nothing_to_match(catalogue):
    assert (
        "body" not in evaluate(by_code(options=("calipers-front",), accent="ember-orange"), catalogue).names
    )


def test_without_a_code_it_is_still_to_be_read(catalogue, painted):
    found = evaluate(by_code("", options=(painted,), finishes={painted: "body"}), catalogue)
    assert found.body.name == "another colour, code still to be read"
    coats = [line for line in found.parts if line.kind == "paint" and line.facts.finish]
    assert {line.facts.finish for line in coats} == {"the vehicle's own colour, to be matched"}


def test_a_listed_colour_takes_its_place(catalogue):
    edit = changing.read("body=quay-blue")
    now = changing.apply(by_code(), edit, catalogue)
    assert (now.body_finish, now.body_hex, now.body_code) == ("quay-blue", None, "")


@pytest.mark.parametrize("code", ["www.prize.example", "a\nb", " LX", "<b>", "x" * 31, "-1"])
def test_what_is_no_code_is_refused(code):
    with pytest.raises(ValidationError):
        by_code(code)
