"""What the search for a better plan gains, exactly: it is the same each time.

Whoever changes the search sees here what the change gains or loses, and enters the new figures.
"""

from __future__ import annotations

import pytest

from shop.planning.greedy import best_rule, improved, plan_greedily, tries_for
from shop.planning.problem import Link, Plan, Problem, Step

from .cases import short_days, week_of_jobs
from .checker import faults
from .instances import job_shops

# Cost of the best rule's plan, then after so many tries.
WEEKS = {
    (8, 1): {0: 856, 39: 841, 120: 822, 400: 820},
    (8, 2): {0: 1070, 39: 1053, 120: 1052, 400: 1038},
    (8, 3): {0: 1003, 39: 1003, 120: 999, 400: 968},
    (8, 5): {0: 750, 39: 748, 120: 740, 400: 739},
    (10, 5): {0: 1128, 39: 1096, 120: 1089, 400: 1086},
}
# Fisher and Thompson's and Lawrence's instances; 930 and 1046 are the least there are.
SHOPS = {"ft10": {0: 1021, 39: 1019, 400: 967}, "la21": {0: 1227, 39: 1217, 120: 1189, 400: 1171}}


@pytest.mark.long
@pytest.mark.parametrize("week", WEEKS, ids=str)
def test_what_a_crowded_week_gains(week: tuple[int, int]) -> None:
    gains(week_of_jobs(*week), WEEKS[week])


@pytest.mark.long
@pytest.mark.parametrize("name", SHOPS)
def test_what_published_instances_gain(name: str) -> None:
    gains(job_shops((name,))[name][0], SHOPS[name])


def gains(problem: Problem, expected: dict[int, int]) -> None:
    rule = best_rule(problem)
    for tries, cost in expected.items():
        plan = improved(problem, rule, tries) if tries else rule
        assert faults(problem, plan) == []
        assert (tries, problem.cost(plan.starts)) == (tries, cost)


@pytest.mark.parametrize(
    ("steps", "tries"),
    [(1, 100), (3, 300), (60, 4000), (400, 1250), (500, 1000), (501, 399), (20_000, 12)],
)
def test_tries_fall_with_the_size(steps: int, tries: int) -> None:
    assert tries_for(steps) == tries


@pytest.mark.long
def test_the_same_problem_gives_the_same_plan() -> None:
    problem = week_of_jobs(8, 3)
    assert plan_greedily(problem, tries=0) == best_rule(problem)
    assert plan_greedily(problem, tries=40) == improved(problem, best_rule(problem), 40)


def test_what_is_as_good_as_can_be_is_left_and_so_is_what_is_all_fixed() -> None:
    steps = [Step(0, "a", "bay", 1), Step(0, "b", "bay", 1), Step(1, "c", "bay", 1)]
    best = Problem(short_days(), {"bay": 2}, steps, [Link(0, 1)])
    plan = best_rule(best)
    assert best.cost(plan.starts) == best.least_cost == 3
    assert improved(best, plan, 50) is plan
    fixed = Problem(short_days(), {"bay": 1}, [Step(0, "a", "bay", 1, pinned=3)])
    there = Plan([3], [None])
    assert improved(fixed, there, 50) is there


def test_a_worse_plan_than_need_be_is_improved_by_letting_one_go_first() -> None:
    # The long job first makes the short one late; the other way round both are cheaper.
    steps = [Step(0, "long", "bay", 8), Step(1, "short", "bay", 1)]
    problem = Problem(short_days(), {"bay": 1}, steps, due={1: 2})
    long_first = Plan([0, 8], [None, None])
    assert problem.cost(long_first.starts) == 8 + 9 + 70
    found = improved(problem, long_first, 40)
    assert found.starts == [1, 0]
    assert problem.cost(found.starts) == 9 + 1
