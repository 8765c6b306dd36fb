"""Both planners keep the rules; the solver finds what trying everything finds."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from shop.planning.dispatch import HorizonError, serial, tails_h
from shop.planning.greedy import best_rule, plan_greedily
from shop.planning.problem import Link, Plan, Problem, Step, slots
from shop.planning.solver import plan_with_solver

from .cases import month_of_jobs, short_days
from .checker import faults

NEVER = 10**9


def best_by_trying(problem: Problem) -> int:
    """Return the least cost over all start slots whatever: no rule of priority, no solver."""
    count, size = len(problem.steps), len(problem.calendar)
    room = {**problem.places, "people": problem.calendar.people[0]}
    best = NEVER

    def bound(starts: list[int]) -> int:
        ready: dict[int, int] = {}
        for index, start in enumerate(starts):
            step = problem.steps[index]
            end = problem.calendar.after_wait(start + step.length, problem.tails.get(index, 0.0))
            ready[step.job] = max(ready.get(step.job, 0), end)
        return sum(end + 10 * max(0, end - problem.due.get(job, end)) for job, end in ready.items())

    def go(starts: list[int], used: Counter[tuple[object, int]]) -> None:
        nonlocal best
        index = len(starts)
        if bound(starts) >= best:
            return
        if index == count:
            best = bound(starts)
            return
        step = problem.steps[index]
        holders = [step.kind, "people"] + ([f"vehicle {step.job}"] if step.kind != "booth" else [])
        low = problem.earliest(index, dict(enumerate(starts)))  # links run from lower to higher index
        for start in range(low, size - step.length + 1):
            if step.kind == "booth" and start // 4 != (start + step.length - 1) // 4:
                continue  # four slots a day
            mine = Counter((holder, slot) for holder in holders for slot in range(start, start + step.length))
            both = used + mine
            if all(both[key] <= room.get(str(key[0]), 1) for key in mine):
                go([*starts, start], both)

    go([], Counter())
    return best


@st.composite
def small_problems(draw: st.DrawFn) -> Problem:
    """Return up to four steps of two jobs on one-hour days, with waits that cross nights."""
    steps = draw(
        st.lists(
            st.builds(
                Step,
                job=st.integers(0, 1),
                key=st.just("step"),
                kind=st.sampled_from(["bay", "lift", "booth"]),
                length=st.integers(1, 3),
                release=st.integers(0, 3),
            ),
            min_size=2,
            max_size=4,
        )
    )
    pairs = [(i, j) for j in range(len(steps)) for i in range(j) if steps[i].job == steps[j].job]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=3)) if pairs else []
    links = [Link(i, j, draw(st.sampled_from([0.0, 0.25, 12.0, 24.0]))) for i, j in chosen]
    people = draw(st.integers(1, 2))
    problem = Problem(short_days(5, people), {"bay": 1, "lift": 1, "booth": 1}, steps, links)
    problem.tails = {len(steps) - 1: draw(st.sampled_from([0.0, 12.0]))}
    problem.due = {0: draw(st.integers(2, 12))}
    return problem


@pytest.mark.long
@given(problem=small_problems())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_greedy_plans_keep_every_rule(problem: Problem) -> None:
    try:
        plan = plan_greedily(problem)
    except HorizonError:
        assume(False)
    assert faults(problem, plan) == []


@pytest.mark.long
@given(problem=small_problems())
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_the_solver_finds_the_best_there_is(problem: Problem) -> None:
    best = best_by_trying(problem)
    assume(best < NEVER)
    plan, proved = plan_with_solver(problem, seconds=20, workers=1)
    assert proved
    assert faults(problem, plan) == []
    assert problem.cost(plan.starts) == best
    assert problem.cost(plan_greedily(problem).starts) >= best


@pytest.mark.long
def test_a_month_of_jobs_is_planned_without_a_fault() -> None:
    problem = month_of_jobs()
    plan = best_rule(problem)
    assert faults(problem, plan) == []
    assert len(plan.starts) == len(problem.steps) > 300


def test_pinned_steps_stay_and_others_go_round_them() -> None:
    steps = [Step(0, "booked", "bay", 3, pinned=1), Step(1, "new", "bay", 2)]
    problem = Problem(short_days(), {"bay": 1}, steps)
    plan = plan_greedily(problem)
    assert plan.starts == [1, 4]
    assert faults(problem, plan) == []


def test_bay_and_lift_steps_of_one_vehicle_exclude_each_other_but_not_the_booth() -> None:
    kinds = ["bay", "lift", "booth"]
    problem = Problem(short_days(people=3), dict.fromkeys(kinds, 1), [Step(0, k, k, 1) for k in kinds])
    starts = plan_greedily(problem).starts
    assert sorted(starts[:2]) == [0, 1]
    assert starts[2] == 0


def test_nobody_works_in_two_places_at_once() -> None:
    problem = Problem(short_days(people=1), {"bay": 2}, [Step(0, "a", "bay", 2), Step(1, "b", "bay", 2)])
    assert sorted(plan_greedily(problem).starts) == [0, 2]


def test_booth_work_is_not_left_over_a_closing_unless_it_is_longer_than_a_stretch() -> None:
    problem = Problem(
        short_days(),
        {"booth": 1},
        [Step(0, "a", "booth", 3), Step(1, "b", "booth", 3), Step(2, "c", "booth", 5)],
    )
    plan = plan_greedily(problem)
    assert faults(problem, plan) == []
    assert all(problem.calendar.fits_in_one_stretch(s, 3) for s in plan.starts[:2])


def test_a_calendar_that_is_too_short_is_said() -> None:
    problem = Problem(short_days(1), {"bay": 1}, [Step(0, "long", "bay", 5)])
    with pytest.raises(HorizonError, match="long"):
        serial(problem, [(0,)])


def test_faults_are_found() -> None:
    steps = [Step(0, "first", "bay", 2), Step(0, "then", "bay", 2), Step(1, "other", "bay", 1, release=2)]
    problem = Problem(short_days(), {"bay": 1}, steps, [Link(0, 1, 12.0)])

    def found(*starts: int) -> list[str]:
        return faults(problem, Plan(list(starts), [None] * 3))

    assert found(0, 4, 2) == []
    assert "then before first has waited" in found(0, 2, 3)
    assert any("bay full at 4" in fault for fault in found(0, 4, 4))
    assert any("before its release" in fault for fault in found(2, 6, 0))


def test_the_tail_counts_hours_and_waits() -> None:
    steps = [Step(0, "a", "bay", 4), Step(0, "b", "bay", 2)]
    problem = Problem(short_days(), {"bay": 1}, steps, [Link(0, 1, 12.0)], tails={1: 3.0})
    assert tails_h(problem) == [1.0 + 12.0 + 0.5 + 3.0, 0.5 + 3.0]
    problem.tails = {}
    assert tails_h(problem) == [1.0 + 12.0 + 0.5, 0.5]


def test_hours_round_up_to_quarters() -> None:
    assert [slots(h) for h in (0, 0.1, 0.25, 0.26, 1.5)] == [0, 1, 1, 2, 6]
