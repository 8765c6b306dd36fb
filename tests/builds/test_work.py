"""Merging recipes into one plan, and how long it holds the workshop."""

from fractions import Fraction
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds import work
from configurator.builds.hours import worked
from configurator.builds.tasks import Task
from configurator.builds.work import plan
from configurator.catalogue.models import STAGES

DAY_H = 8.0


class Rows(list):
    """Answers ``all()`` as a related manager does."""

    def all(self):
        return self


def operation(position, stage, *, hands=1.0, wait=0.0, share="", paints=False):
    return SimpleNamespace(
        position=position,
        stage=stage,
        name=f"{stage} {share or position}",
        hands_on_h=hands,
        wait_h=wait,
        resource="bay",
        share_key=share,
        paints=paints,
        caution="",
    )


def task(choice, *operations):
    recipe = SimpleNamespace(code=f"recipe-{choice}", name=choice, operations=Rows(operations))
    return Task(choice, choice, recipe)


def test_bumper_comes_off_once_for_grille_and_splitter():
    grille = task("grille", operation(1, "strip", hands=1.0, share="front-bumper-off"), operation(2, "refit"))
    splitter = task(
        "splitter", operation(1, "strip", hands=1.5, share="front-bumper-off"), operation(2, "bond", wait=12)
    )
    done = plan([grille, splitter], DAY_H)
    shared = next(step for step in done.steps if step.key == "front-bumper-off")
    assert shared.for_choices == ("grille", "splitter")
    assert shared.hands_on_h == 1.5
    assert done.hands_on_h == 1.5 + 1 + 1
    assert [step.after for step in done.steps if step.stage in ("refit", "bond")] == [
        ("front-bumper-off",)
    ] * 2


def test_waits_decide_the_date_and_not_hours():
    long_work = task("polish", operation(1, "polish", hands=5))
    long_wait = task("glue", operation(1, "bond", hands=0.5, wait=30))
    done = plan([long_work, long_wait], DAY_H)
    assert done.critical_path == ("glue:recipe-glue:1",)
    assert (done.critical_h, done.bay_days) == (30.5, 2)


def test_book_in_comes_first_and_wash_and_check_last():
    job = task("job", operation(1, "book-in"), operation(2, "wash"), operation(3, "final check"))
    other = task("a", operation(1, "strip"), operation(2, "refit"))
    steps = {step.stage: step for step in plan([job, other], DAY_H).steps}
    assert steps["strip"].after == (steps["book-in"].key,)
    assert steps["wash"].after == (steps["refit"].key,)
    assert steps["final check"].after == (steps["wash"].key,)


def test_nothing_to_do_takes_no_time():
    done = plan([], DAY_H)
    assert (done.steps, done.hands_on_h, done.bay_days, done.critical_path) == ((), 0, 0, ())


@pytest.mark.parametrize(
    ("start", "hands", "end"),
    [(0, 3, 3), (6, 4, 26), (20, 1, 25), (0, 8, 8), (0, 20, 52), (30, 2, 32), (8, 0, 8)],
)
def test_work_stops_for_the_night(start, hands, end):
    """By hand: the day's work is hours 0 to 8 of each 24."""
    assert worked(start, hands, DAY_H) == end


def _by_minutes(start_min, hands_min, day_min):
    """Work minute by minute through the clock, the slow and plain way."""
    clock, left = start_min, hands_min
    while left:
        if clock % (24 * 60) < day_min:
            left -= 1
        clock += 1
    return clock


@given(st.integers(0, 4000), st.integers(1, 2500), st.integers(60, 1440))
def test_worked_agrees_with_counting_minutes(start, hands, day):
    got = worked(Fraction(start, 60), Fraction(hands, 60), Fraction(day, 60))
    assert got * 60 == _by_minutes(start, hands, day)


@given(st.integers(0, 4000), st.integers(1, 500), st.integers(1, 240))
def test_hours_in_tenths_agree_with_counting_six_minutes(start, hands, day):
    got = worked(start / 10, hands / 10, day / 10)
    assert got * 60 == _by_minutes(6 * start, 6 * hands, 6 * day)


def test_three_full_days_are_over_in_the_third_evening():
    """By hand: 22.8 h are three days of 7.6 h; the third begins at clock hour 48 and ends 7.6 h later."""
    assert worked(0, 22.8, 7.6) == Fraction("55.6")
    assert worked(48.5, 0.0, 7.6) == 48.5
    long = plan([task("long", operation(1, "prep", hands=22.8, wait=0.1))], 7.6)
    assert (long.critical_h, long.bay_days) == (55.7, 3)
    assert plan([task("a", *(operation(n, "prep", hands=7.6) for n in range(3)))], 7.6).bay_days == 3


RECIPES = st.lists(
    st.lists(
        st.tuples(
            st.sampled_from(STAGES),
            st.floats(0, 6),
            st.floats(0, 24),
            st.sampled_from(["", "", "bumper", "wheels"]),
        ),
        min_size=1,
        max_size=5,
    ),
    max_size=5,
)


def _tasks(recipes):
    found = []
    for number, rows in enumerate(recipes):
        rows = sorted(rows, key=lambda row: STAGES.index(row[0]))
        # A share key means one piece of work, so it belongs to one stage.
        operations = [
            operation(p, stage, hands=hands, wait=wait, share=share and f"{share} {stage}")
            for p, (stage, hands, wait, share) in enumerate(rows)
        ]
        found.append(task(f"c{number}", *operations))
    return found


@pytest.mark.long
@given(RECIPES)
def test_every_plan_can_be_done_in_its_order(recipes):
    done = plan(_tasks(recipes), DAY_H)
    seen = set()
    for step in done.steps:
        assert set(step.after) <= seen
        seen.add(step.key)
    assert len(seen) == len(done.steps)


@pytest.mark.long
@given(RECIPES)
def test_merging_never_adds_hours_and_the_path_is_a_chain(recipes):
    done = plan(_tasks(recipes), DAY_H)
    steps = {step.key: step for step in done.steps}
    assert done.hands_on_h <= sum(row[1] for rows in recipes for row in rows) + 0.01 * len(steps)
    for before, after in zip(done.critical_path, done.critical_path[1:], strict=False):
        assert before in steps[after].after
    longest = max((step.hands_on_h + step.wait_h for step in done.steps), default=0)
    assert done.critical_h >= round(longest, 2) - 0.011
    assert done.bay_days * 24 >= done.critical_h - 1e-6


@pytest.mark.long
@given(RECIPES)
def test_order_of_choices_does_not_change_the_hours(recipes):
    found = _tasks(recipes)
    assert plan(found, DAY_H).hands_on_h == pytest.approx(plan(found[::-1], DAY_H).hands_on_h)


def test_stage_order_is_the_models():
    assert list(work.STAGE_ORDER) == list(STAGES)
