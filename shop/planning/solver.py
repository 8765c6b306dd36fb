"""A better plan where the optional ``plan`` extra is installed: a constraint solver (CP-SAT).

It starts from the default plan and never returns a worse one. What is small it solves whole; what is
large it improves window by window (large neighbourhood search): some jobs, or what happens in some days,
are freed, everything else stands where it is, and the solver puts the freed steps better. A month of sixty
jobs, which is too much for the solver at once, gains that way too (``test_planners_benchmark``).
"""

from __future__ import annotations

import random
import time
from importlib.util import find_spec

from .greedy import plan_greedily
from .problem import Plan, Problem

WHOLE = 320  # up to so many steps the whole problem is tried first
FREED = (24, 90)  # fewest and most steps freed at once
WINDOW_S = 2.5


def is_available() -> bool:
    """Return whether the solver is installed."""
    return find_spec("ortools") is not None


def plan_with_solver(
    problem: Problem, seconds: float = 20.0, workers: int = 2, start: Plan | None = None
) -> tuple[Plan, bool]:
    """Return a plan and whether it is proved best; needs ``is_available()``."""
    from .window import solve

    ends_at = time.monotonic() + seconds
    best = start or plan_greedily(problem)
    free = [index for index, step in enumerate(problem.steps) if step.pinned is None]
    if not free:
        return best, True
    if len(free) <= WHOLE:
        share = 1.0 if len(free) <= FREED[1] or problem.makespan else 0.4
        left = (ends_at - time.monotonic()) * share
        best, proved = solve(problem, best, set(free), left, workers)
        if proved or share == 1.0:
            return best, proved
    return _window_by_window(problem, best, free, ends_at, workers), False


def _window_by_window(problem: Problem, best: Plan, free: list[int], ends_at: float, workers: int) -> Plan:
    from .window import solve

    rng = random.Random(1)  # noqa: S311 - no secret
    size = 48
    while (left := ends_at - time.monotonic()) > 0.1:
        freed = _freed(problem, best, free, size, rng)
        limit = min(WINDOW_S, left)
        found, proved = solve(problem, best, freed, limit, workers)
        best = found
        # Solved to the end: free more next time; not: less.
        size = min(FREED[1], size + 6) if proved else max(FREED[0], size - 8)
    return best


def _freed(problem: Problem, plan: Plan, free: list[int], size: int, rng: random.Random) -> set[int]:
    """Choose what to put anew: a stretch of days, or jobs that are in the workshop at the same time."""
    starts = plan.starts
    middle = starts[rng.choice(free)]
    if rng.random() < 0.5:
        return set(sorted(free, key=lambda i: abs(starts[i] - middle))[:size])
    jobs: dict[int, list[int]] = {}
    for index in free:
        jobs.setdefault(problem.steps[index].job, []).append(index)
    ready = problem.ready(starts)

    def distance(job: int) -> float:
        late = ready[job] > problem.due.get(job, ready[job])
        nearest = min(abs(starts[i] - middle) for i in jobs[job])
        return nearest * rng.uniform(0.5, 1.5) * (0.5 if late else 1.0)

    found: set[int] = set()
    for job in sorted(jobs, key=distance):
        if len(found) >= size:
            break
        found.update(jobs[job])
    return found
