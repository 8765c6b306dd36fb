"""A plan pushed as late as it can be, and then as early: what had room to give way has given it.

Forward-backward improvement (Li and Willis 1992; Tormos and Lova 2001; from memory). The way back is only
a rough mirror (releases, pins and the ends of jobs are left out): it decides an order, and the way forward
keeps every rule.
"""

from __future__ import annotations

from dataclasses import replace

from .dispatch import HorizonError, serial
from .problem import Link, Plan, Problem

ROUNDS = 3


def mirrored(problem: Problem) -> Problem:
    """Return the problem with time running backwards."""
    return Problem(
        problem.calendar,
        problem.places,
        [replace(step, release=0, pinned=None) for step in problem.steps],
        [Link(link.then, link.first, link.wait_h) for link in problem.links],
        crew=problem.crew,
        move=problem.move,
        makespan=True,
    )


def by_ends(problem: Problem, other: Problem, plan: Plan) -> Plan:
    """Return the other problem's plan that takes last first what ends last in this one's."""
    ends = [-(start + step.length) for start, step in zip(plan.starts, problem.steps, strict=True)]
    return serial(other, [(float(end),) for end in ends])


def justified(problem: Problem, back: Problem, plan: Plan) -> Plan:
    """Return the best of some rounds back and forth, the given plan included."""
    best = plan
    for _ in range(ROUNDS):
        try:
            plan = by_ends(back, problem, by_ends(problem, back, plan))
        except HorizonError:
            break
        if problem.cost(plan.starts) < problem.cost(best.starts):
            best = plan
    return best
