"""What the solver does with a few steps among others that stand: held against trying every start."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace
from datetime import time

import pytest

from shop.planning.calendar import Stretch, WorkCalendar
from shop.planning.dispatch import HorizonError, rank_rows, serial
from shop.planning.problem import Link, Person, Plan, Problem, Step
from shop.planning.solver import plan_with_solver
from shop.planning.window import solve

from .cases import MONDAY, ZONE, month_of_jobs, short_days
from .checker import faults

SIZE = 16
# Windows in which something can be gained, and some in which nothing can.
GAINED = (2, 17, 19, 21, 23, 29, 32, 33, 36, 39, 42, 43, 52, 58, 59, 62, 79, 81, 84, 89, 91, 94, 97, 98, 105)
AS_IT_WAS = (0, 1, 3, 4, 5, 6, 7, 8)


def standing(rng: random.Random) -> tuple[Problem, Plan]:
    """Return a small problem of any kind with a sound plan that is not a good one: much begins late."""
    while True:
        problem = _problem(rng)
        steps = [replace(step, release=step.release + rng.choice((0, 3, 6))) for step in problem.steps]
        try:
            return problem, serial(replace(problem, steps=steps), [(rng.random(),) for _ in steps])
        except HorizonError:
            continue


def _problem(rng: random.Random) -> Problem:
    # Two hours a day; on some days one works, on others two.
    hours = [Stretch(day, time(9), time(11), rng.randint(1, 2)) for day in range(7)]
    calendar = WorkCalendar(MONDAY, SIZE // 8, ZONE, hours)
    steps = [
        Step(
            job=rng.randrange(3),
            key=str(index),
            kind=rng.choice(("bay", "lift", "booth", "bay", "lift", "")),
            length=rng.randint(1, 3),
            release=rng.choice((0, 0, 0, 2)),
            skill=rng.choice(("", "prep", "torque")),
            hands=rng.choice((1, 1, 1, 0)),
            also=rng.choice(((), (), (("jack", rng.randint(1, 2)),))),
        )
        for index in range(6)
    ]
    # What keeps the calendar's end in use, so that the solver may look as far as the test does.
    steps.append(Step(9, "last", "", 1, pinned=SIZE - 1, hands=0))
    pairs = [(i, j) for j in range(6) for i in range(j) if steps[i].job == steps[j].job]
    links = [Link(i, j, rng.choice((0.0, 0.0, 0.5, 12.0))) for i, j in pairs if rng.random() < 0.5]
    places = {"bay": rng.randint(1, 2), "lift": 1, "booth": 1, "jack": 3}
    problem = Problem(calendar, places, steps, links, move=rng.randint(0, 2), makespan=rng.random() < 0.2)
    if rng.random() < 0.6:
        names = [("prep",), ("torque", "prep"), ()]
        problem.crew = tuple(
            Person(str(n), ((1 << SIZE) - 1) & ~(0b111 << rng.randrange(SIZE)), frozenset(names[n]))
            for n in range(3)
        )
    problem.tails = {index: 1.0 for index in range(6) if rng.random() < 0.3}
    problem.due = {job: rng.randrange(4, SIZE) for job in range(3) if rng.random() < 0.6}
    if problem.makespan:
        # The last one would decide alone.
        problem.steps[-1] = Step(9, "last", "", 1, pinned=0, hands=0)
    return problem


def moved_while_it_waits(problem: Problem, starts: list[int]) -> bool:
    """Whether a vehicle is brought elsewhere before its wait is over, which only the planners forbid."""
    for link in problem.links:
        end = starts[link.first] + problem.steps[link.first].length
        if starts[link.then] < problem.calendar.after_wait(end, link.wait_h) + problem.move_between(link):
            return True
    return False


def least(problem: Problem, plan: Plan, freed: list[int]) -> int:
    """Return the least cost of all sound plans that differ in these steps alone."""
    best = problem.cost(plan.starts)
    spans = [range(SIZE - problem.steps[index].length + 1) for index in freed]
    people = [range(len(problem.crew)) if problem.crew else (None,) for _ in freed]
    for starts in itertools.product(*spans):
        tried = list(plan.starts)
        for index, start in zip(freed, starts, strict=True):
            tried[index] = start
        if problem.cost(tried) >= best or moved_while_it_waits(problem, tried):
            continue
        for who in itertools.product(*people):
            does = list(plan.who)
            for index, person in zip(freed, who, strict=True):
                does[index] = person if problem.steps[index].hands else None
            if not faults(problem, Plan(tried, does)):
                best = problem.cost(tried)
                break
    return best


@pytest.mark.parametrize("seed", [*GAINED, *AS_IT_WAS])
def test_a_window_is_put_as_well_as_can_be_and_the_rest_stands(seed: int) -> None:
    rng = random.Random(seed)
    problem, plan = standing(rng)
    assert faults(problem, plan) == []
    freed = sorted(rng.sample(range(6), 2))
    found, proved = solve(problem, plan, set(freed), seconds=30, workers=1)
    assert proved
    assert faults(problem, found) == []
    for index in set(range(7)) - set(freed):
        assert (found.starts[index], found.who[index]) == (plan.starts[index], plan.who[index])
    assert problem.cost(found.starts) == least(problem, plan, freed)
    assert (problem.cost(found.starts) < problem.cost(plan.starts)) == (seed in GAINED)


def test_three_steps_with_waits_between_them_are_put_as_well_as_can_be() -> None:
    """A row of one vehicle between what stands before and after it, on the lift and off it again."""
    calendar = short_days(5)
    steps = [
        Step(0, "book-in", "bay", 1),
        Step(0, "off", "lift", 1),
        Step(0, "paint", "booth", 2),
        Step(0, "on", "lift", 1),
        Step(0, "check", "bay", 1),
        Step(1, "other", "booth", 2),
    ]
    links = [Link(0, 1), Link(1, 2), Link(2, 3, 12.0), Link(3, 4)]
    problem = Problem(calendar, {"bay": 1, "lift": 1, "booth": 1}, steps, links, move=1)
    late = Plan([0, 3, 8, 15, 17, 4], [None] * 6)
    assert faults(problem, late) == []
    found, proved = solve(problem, late, {1, 2, 3}, seconds=30, workers=1)
    # The check stands at 17, so nothing is gained; freed, it is on the day after the coat, a move later.
    assert (problem.cost(found.starts), proved) == (problem.cost(late.starts), True)
    found, proved = solve(problem, late, {1, 2, 3, 4}, seconds=30, workers=1)
    assert (found.starts[0], found.starts[5], found.starts[4], proved) == (0, 4, 10, True)
    found, proved = solve(problem, late, {1, 2, 3, 4, 5}, seconds=30, workers=1)
    assert (found.starts[4], found.starts[5], proved) == (10, 0, True)
    assert faults(problem, found) == []


def test_what_is_all_fixed_is_left_and_proved() -> None:
    steps = [Step(0, "a", "bay", 1, pinned=3), Step(1, "b", "bay", 1, pinned=1)]
    problem = Problem(short_days(), {"bay": 1}, steps)
    there = Plan([3, 1], [None, None])
    assert plan_with_solver(problem, seconds=9, workers=1, start=there) == (there, True)


@pytest.mark.long
@pytest.mark.parametrize("jobs", [14, 45])
def test_more_than_can_be_solved_at_once_is_still_sound_and_no_worse(jobs: int) -> None:
    """Some hundred steps are tried whole and then by windows; many hundred by windows alone."""
    problem = month_of_jobs(jobs)
    assert (len(problem.steps) > 320) == (jobs > 14)
    assert len(problem.steps) > 90
    start = serial(problem, rank_rows(problem)["longest step"])
    pinned = [index for index, step in enumerate(problem.steps) if step.job == 3]
    for index in pinned:
        problem.steps[index] = replace(problem.steps[index], pinned=start.starts[index])
    plan, proved = plan_with_solver(problem, seconds=0.4, workers=1, start=start)
    assert faults(problem, plan) == []
    assert problem.cost(plan.starts) <= problem.cost(start.starts)
    assert [plan.starts[index] for index in pinned] == [start.starts[index] for index in pinned]
    assert not proved
