"""How much better the planners are than one pass of a rule, and at what price in time."""

from __future__ import annotations

import time

import pytest

from shop.planning.greedy import best_rule, plan_greedily
from shop.planning.problem import Problem
from shop.planning.solver import plan_with_solver

from .cases import month_of_jobs, week_of_jobs
from .checker import faults

PLANNERS = (
    ("best of the rules", best_rule),
    ("default", plan_greedily),
    ("solver, 15 s", lambda problem: plan_with_solver(problem, seconds=15)[0]),
)


def described(problem: Problem, starts: list[int]) -> tuple[float, float, int]:
    """Return mean working days from release to ready, total days late, and jobs late."""
    ready = problem.ready(starts)
    release = {step.job: step.release for step in problem.steps}
    days = sum(ready[job] - release[job] for job in ready) / len(ready) / 32
    late = [max(0, ready[job] - problem.due[job]) / 32 for job in ready]
    return days, sum(late), sum(each > 0 for each in late)


@pytest.mark.benchmark
@pytest.mark.parametrize(
    ("name", "problem"),
    [(f"10 jobs in a week, seed {seed}", week_of_jobs(10, seed)) for seed in range(3)]
    + [(f"{count} jobs in a month, seed 3", month_of_jobs(count, 3)) for count in (20, 40, 60)],
)
def test_planners_side_by_side(name: str, problem: Problem) -> None:
    costs = []
    for planner, plan in PLANNERS:
        began = time.perf_counter()
        found = plan(problem)
        took = time.perf_counter() - began
        assert faults(problem, found) == []
        starts = found.starts
        days, late, late_jobs = described(problem, starts)
        costs.append(problem.cost(starts))
        if len(costs) == 1:
            first = days
        print(
            f"{name}: {planner:<18} {days:.2f} days in the shop ({days / first:.0%}), "
            f"{late:.1f} days late over {late_jobs} jobs, {took:.1f} s"
        )
    assert costs[2] <= costs[1] <= costs[0]
