"""Free lines beside a build: folded in and taken out again, each cent and each hour counted by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds.evaluate import evaluate
from configurator.builds.extra import NOT_LISTED, nothing_chosen, with_lines, without_lines
from configurator.builds.free_lines import FreeLine, WheelsOff, frame_of
from configurator.catalogue.snapshot import Catalogue
from tests.builds.builds import harbour_van

WELD = FreeLine(1, "Weld the step", Decimal("120.00"), hands_on_h=1.5)
BRAKE = FreeLine(
    2, "Free the caliper", Decimal("95.50"), hands_on_h=1.0, resource="lift",
    wheels=(WheelsOff("front", 160.0, 10),),
)  # fmt: skip
DIP = FreeLine(
    3, "Dip the hooks", Decimal("60.00"), hands_on_h=0.5, wait_h=24.0, stage="colour", resource="booth"
)


def test_a_walk_in_costs_its_lines_and_takes_their_hours_with_the_frame(catalogue: Catalogue) -> None:
    empty = nothing_chosen(NOT_LISTED, "Old tractor", catalogue.version)
    made = with_lines(empty, [WELD, BRAKE, DIP], catalogue.workshop, frame=frame_of(catalogue))
    assert made.price is not None
    assert made.work is not None
    assert made.price.total == Decimal("275.50")
    assert made.price.net + made.price.tax == made.price.total
    assert made.price.deposit == Decimal("82.65")  # 30 per cent, the demonstration's policy
    assert made.sendable
    framed = sum(step.hands_on_h for step in frame_of(catalogue))
    # 1.5 + 1.0 + 0.5 of work, 0.2 to take one axle's wheels off, 0.3 to tighten them.
    assert round(made.work.hands_on_h - framed, 2) == 3.5
    stages = [step.stage for step in made.work.steps]
    assert stages[0] == "book-in"
    assert stages[-1] == "final check"
    known = {step.key for step in made.work.steps}
    seen: set[str] = set()
    for step in made.work.steps:
        assert set(step.after) <= known
        assert set(step.after) <= seen, "what comes before stands before"
        seen.add(step.key)


def test_wheels_that_come_off_are_tightened_before_anything_closes(catalogue: Catalogue) -> None:
    empty = nothing_chosen(NOT_LISTED, "Old tractor", 1)
    made = with_lines(empty, [BRAKE], catalogue.workshop, frame=frame_of(catalogue))
    assert made.work is not None
    by_key = {step.key: step for step in made.work.steps}
    torque = by_key["line-2:front"]
    assert (torque.torque_nm, torque.fastener_count, torque.axle) == (160.0, 10, "front")
    assert torque.after == ("line-2",)
    assert by_key["line-2"].after == ("line-2:off",)
    wash = next(step for step in made.work.steps if step.stage == "wash")
    assert "line-2:front" in wash.after
    assert any(text.id == "owner_wheels" for text in made.cautions)


def test_a_build_that_has_its_wheels_off_does_not_have_them_off_twice(catalogue: Catalogue) -> None:
    build = evaluate(harbour_van(), catalogue)
    made = with_lines(build, [BRAKE], catalogue.workshop, frame=frame_of(catalogue))
    assert made.work is not None
    assert build.work is not None
    for stage in ("wheels off", "torque"):
        count = sum(step.stage == stage for step in made.work.steps)
        assert count == sum(step.stage == stage for step in build.work.steps)


@pytest.mark.long
@given(st.lists(st.sampled_from([WELD, BRAKE, DIP]), unique=True, max_size=3))
def test_taking_lines_out_gives_the_build_back(catalogue: Catalogue, lines: list[FreeLine]) -> None:
    build = evaluate(harbour_van(), catalogue)
    made = with_lines(build, lines, catalogue.workshop, frame=frame_of(catalogue))
    bare = without_lines(made)
    assert build.price is not None
    assert made.price is not None
    assert bare.price is not None
    assert made.price.total == build.price.total + sum((line.amount for line in lines), Decimal(0))
    assert (bare.price.total, bare.price.lines) == (build.price.total, build.price.lines)
    assert (bare.summary, bare.names, bare.cautions) == (build.summary, build.names, build.cautions)
    again = with_lines(bare, lines, catalogue.workshop, frame=frame_of(catalogue))
    assert again.price == made.price
    assert again.work == made.work
    assert with_lines(bare, [], catalogue.workshop).work == build.work


def test_a_deposit_by_hand_is_never_above_the_total(catalogue: Catalogue) -> None:
    empty = nothing_chosen(NOT_LISTED, "Old tractor", 1)
    asked = [
        with_lines(empty, [WELD], catalogue.workshop, deposit=Decimal(amount)).price.deposit  # type: ignore[union-attr]
        for amount in ("0", "50", "500")
    ]
    assert asked == [Decimal(0), Decimal(50), Decimal("120.00")]
