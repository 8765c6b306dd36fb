"""How much better the solver plans a generated month than the greedy rule, and at what price in time."""

from __future__ import annotations

import time

import pytest

from shop.planning.greedy import plan_greedily
from shop.planning.problem import Problem

from .cases import month_of_jobs
from .reference_solver import plan_with_solver


def described(problem: Problem, starts: list[int]) -> tuple[float, float, int]:
    """Return mean working days from release to ready, total days late, and jobs late."""
    ready = problem.ready(starts)
    release = {step.job: step.release for step in problem.steps}
    days = sum(ready[job] - release[job] for job in ready) / len(ready) / 32
    late = [max(0, ready[job] - problem.due[job]) / 32 for job in ready]
    return days, sum(late), sum(each > 0 for each in late)


@pytest.mark.benchmark
@pytest.mark.parametrize("jobs", [20, 40, 60])
def test_solver_against_greedy(jobs: int) -> None:
    for seed in (1, 2, 3):
        problem = month_of_jobs(jobs, seed)
        rows = []
        for name, planner in (
            ("one pass of rules", lambda p: plan_greedily(p, rounds=0)),
            ("greedy, improved", plan_greedily),
            ("solver, 20 s", lambda p: plan_with_solver(p, seconds=20)[0]),
        ):
            began = time.perf_counter()
            starts = planner(problem)
            rows.append(
                (name, problem.cost(starts), *described(problem, starts), time.perf_counter() - began)
            )
            assert problem.faults(starts) == []
        for name, cost, days, late, late_jobs, took in rows:
            print(
                f"{jobs} jobs, seed {seed}: {name:<18} cost {cost / rows[0][1]:.3f} of one pass, "
                f"{days:.2f} days in the shop, {late:.1f} late over {late_jobs} jobs, {took:.2f} s"
            )
        assert rows[2][1] <= rows[1][1] <= rows[0][1]
