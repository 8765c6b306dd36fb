"""Against published instances and textbook rules, which are written here a second time, tick by tick."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

from shop.planning.greedy import best_rule, plan_greedily
from shop.planning.problem import Problem
from shop.planning.solver import plan_with_solver

from .cases import week_of_jobs
from .checker import faults
from .instances import job_shops, projects

QUICK = ("ft06", "la01", "la05", "la06", "la11")
Choice = Callable[[Problem, int, int], float]


def _left(problem: Problem, index: int) -> int:
    """Return the work from a step to the end of its job; steps of a job are numbered in their order."""
    job = problem.steps[index].job
    return sum(step.length for i, step in enumerate(problem.steps) if step.job == job and i >= index)


# Pinedo, Scheduling (from memory): what a machine takes next from those that wait for it.
TEXTBOOK: dict[str, Choice] = {
    "SPT": lambda p, i, since: p.steps[i].length,
    "LPT": lambda p, i, since: -p.steps[i].length,
    "MWKR": lambda p, i, since: -_left(p, i),
    "LWKR": lambda p, i, since: _left(p, i),
    "FIFO": lambda p, i, since: since,
}


def makespan_by(problem: Problem, choice: Choice) -> int:
    """Run a job shop clock tick by clock tick: a free machine never waits while something waits for it."""
    jobs: dict[int, list[int]] = {}
    for index, step in enumerate(problem.steps):
        jobs.setdefault(step.job, []).append(index)
    next_of, ready, free_at, now, last = dict.fromkeys(jobs, 0), dict.fromkeys(jobs, 0), {}, 0, 0
    while any(next_of[job] < len(rows) for job, rows in jobs.items()):
        waiting: dict[str, list[tuple[float, int, int]]] = {}
        for job, rows in jobs.items():
            if next_of[job] < len(rows) and ready[job] <= now:
                index = rows[next_of[job]]
                queue = waiting.setdefault(problem.steps[index].kind, [])
                queue.append((choice(problem, index, ready[job]), index, job))
        for machine, queue in waiting.items():
            if free_at.get(machine, 0) <= now:
                _, index, job = min(queue)
                free_at[machine] = ready[job] = now + problem.steps[index].length
                next_of[job] += 1
                last = max(last, ready[job])
        now += 1
    return last


def test_the_rules_written_here_are_the_known_ones() -> None:
    """By hand for ft06: no rule can beat 55, and none of these is above 120 per cent of twice that."""
    problem, optimum = job_shops(("ft06",))["ft06"]
    found = {name: makespan_by(problem, choice) for name, choice in TEXTBOOK.items()}
    assert min(found.values()) >= optimum == 55
    assert max(found.values()) < 120


@pytest.mark.long
@pytest.mark.parametrize("name", QUICK)
def test_the_default_is_never_worse_than_a_textbook_rule_and_near_the_optimum(name: str) -> None:
    problem, optimum = job_shops((name,))[name]
    plan = plan_greedily(problem, tries=400)
    assert faults(problem, plan) == []
    span = problem.cost(plan.starts)
    assert optimum <= span <= 1.1 * optimum
    assert span <= min(makespan_by(problem, choice) for choice in TEXTBOOK.values())


@pytest.mark.long
@pytest.mark.parametrize("name", ["ft10", "la21", "la36"])
def test_the_rules_alone_are_never_worse_than_the_best_textbook_rule(name: str) -> None:
    problem, _ = job_shops((name,))[name]
    plan = best_rule(problem)
    assert faults(problem, plan) == []
    assert problem.cost(plan.starts) <= min(makespan_by(problem, choice) for choice in TEXTBOOK.values())


@pytest.mark.long
def test_shared_amounts_are_kept_and_the_least_makespan_is_reached() -> None:
    problem, optimum = projects(("j301_1",))["j301_1"]
    plan = plan_greedily(problem)
    assert faults(problem, plan) == []
    assert problem.cost(plan.starts) == optimum == 43


@pytest.mark.long
def test_a_week_of_the_workshop_is_no_worse_than_any_rule() -> None:
    problem = week_of_jobs(6, 1)
    assert problem.cost(plan_greedily(problem, tries=100).starts) <= problem.cost(best_rule(problem).starts)


@pytest.mark.benchmark
@pytest.mark.parametrize("name", [*job_shops(), *projects()])
def test_ratio_to_the_published_optimum(name: str) -> None:
    """Print what the rules, the default and the solver reach, as a ratio to the optimum."""
    problem, optimum = (job_shops((name,)) or projects((name,)))[name]
    began = time.perf_counter()
    rules, default = best_rule(problem), plan_greedily(problem)
    took = time.perf_counter() - began
    solved, proved = plan_with_solver(problem, seconds=20, start=default)
    for plan in (rules, default, solved):
        assert faults(problem, plan) == []
    ratios = [problem.cost(plan.starts) / optimum for plan in (rules, default, solved)]
    mark = " (proved)" if proved else ""
    print(
        f"{name}: rules {ratios[0]:.3f}, default {ratios[1]:.3f} ({took:.1f} s), solver {ratios[2]:.3f}{mark}"
    )
    assert 1 <= ratios[2] <= ratios[1] <= ratios[0]
