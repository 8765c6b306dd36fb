"""The rules of priority and the line of slots, by hand on two small jobs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shop.planning.dispatch import in_time, rank_rows, serial
from shop.planning.greedy import plan_greedily
from shop.planning.justify import justified, mirrored
from shop.planning.occupied import HorizonError, Occupied, first_run
from shop.planning.problem import Link, Problem, Step

from .cases import short_days
from .checker import faults

# Job 0: one hour, a wait of two hours, half an hour, and a tail of one; job 1: two hours in one step.
STEPS = [Step(0, "a", "bay", 4), Step(0, "b", "bay", 2), Step(1, "c", "bay", 8)]


def two_jobs(**more: object) -> Problem:
    problem = Problem(short_days(9), {"bay": 1}, list(STEPS), [Link(0, 1, 2.0)], tails={1: 1.0})
    problem.due = {0: 20, 1: 9}
    for name, value in more.items():
        setattr(problem, name, value)
    return problem


@pytest.mark.parametrize(
    ("rule", "ranks"),
    [
        ("first come, first served", [(), (), ()]),
        ("shortest step", [(4,), (2,), (8,)]),
        ("longest step", [(-4,), (-2,), (-8,)]),
        ("most work left", [(-4.5,), (-1.5,), (-2.0,)]),
        ("least work left", [(4.5,), (1.5,), (2.0,)]),
        ("most hands-on work left", [(-6,), (-2,), (-8,)]),
        ("least hands-on work left", [(6,), (2,), (8,)]),
        ("most steps left", [(-2,), (-1,), (-1,)]),
        ("earliest due", [(20, 0, -4.5), (20, 0, -1.5), (9, 1, -2.0)]),
        ("least slack", [(2.0,), (14.0,), (1.0,)]),
        ("shortest job", [(4.5, 0, -4.5), (4.5, 0, -1.5), (2.0, 1, -2.0)]),
        ("job by job", [(0, -4.5), (0, -1.5), (1, -2.0)]),
    ],
)
def test_each_rule_by_hand(rule: str, ranks: list[tuple[float, ...]]) -> None:
    assert rank_rows(two_jobs())[rule] == ranks


def test_every_rule_is_looked_at_here() -> None:
    assert len(rank_rows(two_jobs())) == 12


def test_what_a_plan_costs_by_hand() -> None:
    problem = two_jobs()
    # Job 0 ends at slot 6 on the second day and is ready an hour later, at 10:30: the third day, slot 8.
    # Job 1 runs from slot 6 to 14 and was due at 9: 14 and ten times 5.
    assert problem.ready([0, 4, 6]) == {0: 8, 1: 14}
    assert problem.cost([0, 4, 6]) == 8 + 14 + 50
    assert two_jobs(makespan=True).cost([0, 4, 6]) == 14
    # Each alone: the same for job 0; job 1 from 0 to 8, one before it is due.
    assert problem.least_cost == 8 + 8


def test_gaps_are_filled_by_one_way_and_not_by_the_other() -> None:
    steps = [
        Step(0, "a", "bay", 1),
        Step(1, "long", "bay", 3, release=2),
        Step(2, "late", "bay", 1, release=1),
    ]
    problem = Problem(short_days(4), {"bay": 1}, steps)
    long_first = [(1,), (0,), (2,)]
    assert serial(problem, long_first).starts == [0, 2, 1]
    assert in_time(problem, long_first).starts == [0, 2, 1]
    assert in_time(replace(problem, steps=[replace(s, release=1) for s in steps]), long_first).starts == [
        4,
        1,
        5,
    ]


def test_booth_work_as_long_as_a_stretch_is_not_split_and_longer_work_is() -> None:
    def start(length: int) -> int:
        steps = [Step(0, "first", "bay", 1), Step(0, "paint", "booth", length)]
        problem = Problem(short_days(4), {"bay": 1, "booth": 1}, steps, [Link(0, 1)])
        plan = plan_greedily(problem)
        assert faults(problem, plan) == []
        return plan.starts[1]

    assert [start(length) for length in (3, 4, 5)] == [1, 4, 1]


@pytest.mark.parametrize(
    ("free", "length", "runs"),
    [
        (0b1, 1, 0b1),
        (0b111, 2, 0b11),
        (0b1011, 2, 0b1),
        (0b11111, 5, 0b1),
        (0b1111, 5, 0),
        (0b110111, 3, 0b1),
    ],
)
def test_runs_of_free_slots(free: int, length: int, runs: int) -> None:
    assert first_run(free, length) == runs


def test_what_other_work_took_is_taken_but_not_for_good() -> None:
    problem = Problem(short_days(4), {"bay": 2}, [Step(0, "a", "bay", 2)])
    taken = Occupied(problem)
    for _ in range(2):
        taken.block("bay", 0, 3, None)
    assert taken.first_free(0, 0)[0] == 3
    tried = taken.copy()
    tried.take(0, 3, None)
    tried.block("bay", 3, 2, None)
    assert (tried.first_free(0, 0)[0], taken.first_free(0, 0)[0]) == (5, 3)


def test_a_far_away_gap_is_found_and_the_end_is_said() -> None:
    problem = Problem(short_days(400), {"bay": 1}, [Step(0, "a", "bay", 2)])
    taken = Occupied(problem)
    taken.block("bay", 0, 1598, None)
    assert taken.first_free(0, 0)[0] == 1598
    taken.block("bay", 1598, 1, None)
    with pytest.raises(HorizonError):
        taken.first_free(0, 0)


def test_pushing_back_and_forth_is_never_worse_and_keeps_every_rule() -> None:
    problem = two_jobs()
    for ranks in rank_rows(problem).values():
        plan = serial(problem, ranks)
        better = justified(problem, mirrored(problem), plan)
        assert problem.cost(better.starts) <= problem.cost(plan.starts)
        assert faults(problem, better) == []
