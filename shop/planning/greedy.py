"""The default planner: steps one by one, each at its earliest free slots, by several rules of priority.

The best plan of the rules is then improved by moving one job at a time to the front, and by trying many
small changes of the order. Free slots are kept as bit sets in whole numbers, so that finding the first
free run is a few shifts.
"""

from __future__ import annotations

import heapq
import random
from collections.abc import Callable, Sequence

from .problem import HOLDS_VEHICLE, NOT_SPLIT, Problem

Rank = tuple[float, ...]
MOST_TRIES, STEPS_TRIED, ACCEPT = 400, 40_000, 1.002


class HorizonError(Exception):
    """The calendar is too short for the work."""


class Occupied:
    """What is full, by slot, as bit sets: one for each kind of place, for hands, for each vehicle."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.levels: dict[object, list[int]] = {kind: [0] * count for kind, count in problem.places.items()}
        most = max(problem.calendar.people, default=0)
        # Level n of the hands is what is taken once n people work; fewer people fill it beforehand.
        self.levels["people"] = [
            sum(1 << slot for slot, people in enumerate(problem.calendar.people) if people <= most - 1 - n)
            for n in range(most)
        ]

    def _holders(self, index: int) -> list[list[int]]:
        step = self.problem.steps[index]
        holders = [self.levels[step.kind], self.levels["people"]]
        if step.kind in HOLDS_VEHICLE:
            holders.append(self.levels.setdefault(("vehicle", step.job), [0]))
        return holders

    def first_free(self, index: int, earliest: int) -> int:
        """Return the first slot from ``earliest`` on where the step finds everything free."""
        step, size = self.problem.steps[index], len(self.problem.calendar)
        blocked = 0
        for holder in self._holders(index):
            blocked |= holder[-1] if holder else ~0
        runs = ~blocked & ((1 << size) - 1)
        have = 1
        while have < step.length:
            shift = min(have, step.length - have)
            runs &= runs >> shift
            have += shift
        if step.kind in NOT_SPLIT:
            runs &= self.problem.unbroken_starts[step.length]
        runs = runs >> earliest << earliest
        if not runs:
            raise HorizonError(f"no room for {step.key} within {size} slots")
        return (runs & -runs).bit_length() - 1

    def take(self, index: int, start: int) -> None:
        """Mark the step's slots as used: each level takes what the one below already holds."""
        mask = ((1 << self.problem.steps[index].length) - 1) << start
        for holder in self._holders(index):
            rest = mask
            for level, taken in enumerate(holder):
                holder[level] = taken | rest
                rest &= taken


def place(problem: Problem, rank: Callable[[int], Rank] | Sequence[Rank]) -> list[int]:
    """Return start slots: pinned steps first, then always the open step of least rank, as early as can be.

    Raises HorizonError when the calendar ends before the work.
    """
    ranks = [rank(i) for i in range(len(problem.steps))] if callable(rank) else list(rank)
    occupied, starts = Occupied(problem), {}
    for index, step in enumerate(problem.steps):
        if step.pinned is not None:
            starts[index] = step.pinned
            occupied.take(index, step.pinned)
    waiting = [sum(link.first not in starts for link in links) for links in problem.before]
    open_steps = [(ranks[i], i) for i, n in enumerate(waiting) if not n and i not in starts]
    heapq.heapify(open_steps)
    while open_steps:
        _, index = heapq.heappop(open_steps)
        starts[index] = occupied.first_free(index, problem.earliest(index, starts))
        occupied.take(index, starts[index])
        for link in problem.following[index]:
            waiting[link.then] -= 1
            if not waiting[link.then] and link.then not in starts:
                heapq.heappush(open_steps, (ranks[link.then], link.then))
    return [starts[index] for index in range(len(problem.steps))]


def tails_h(problem: Problem) -> list[float]:
    """Return for each step the elapsed hours of work and waits from its start to its job's end."""
    found: dict[int, float] = {}

    def tail(index: int) -> float:
        if index not in found:
            own = problem.steps[index].length / 4
            rest = [link.wait_h + tail(link.then) for link in problem.following[index]]
            found[index] = own + max([*rest, problem.tails.get(index, 0.0)])
        return found[index]

    return [tail(index) for index in range(len(problem.steps))]


def plan_greedily(problem: Problem, rounds: int = 2) -> list[int]:
    """Return the best plan of four rules of priority, improved; the same problem gives the same plan.

    ``rounds`` bounds how often every job is tried at the front; 0 leaves the best rule's plan as it is.
    """
    tails = tails_h(problem)
    length: dict[int, float] = {}
    for index, step in enumerate(problem.steps):
        length[step.job] = max(length.get(step.job, 0.0), tails[index])
    far = len(problem.calendar)
    job_ranks: list[Callable[[int], Rank]] = [
        lambda job: (problem.due.get(job, far), job),
        lambda job: (length[job], job),
        lambda job: (job,),
        lambda job: (0,),
    ]
    rows = [
        [(*job_rank(step.job), -tails[i], i) for i, step in enumerate(problem.steps)]
        for job_rank in job_ranks
    ]
    plans = [(place(problem, ranks), ranks) for ranks in rows]
    best, ranks = min(plans, key=lambda pair: problem.cost(pair[0]))
    if not rounds:
        return best
    return _shuffled(problem, _improved(problem, best, ranks, rounds), tails)


def _improved(problem: Problem, best: list[int], ranks: list[Rank], rounds: int) -> list[int]:
    cost = problem.cost(best)
    jobs = sorted({step.job for step in problem.steps if step.pinned is None})
    for number in range(rounds):
        found = False
        for job in jobs:
            # A lower first figure goes before everything; each later round goes before the last.
            first = (float(-1 - number), *([0.0] * 3))
            tried = [(first + rank if problem.steps[i].job == job else rank) for i, rank in enumerate(ranks)]
            starts = place(problem, tried)
            if problem.cost(starts) < cost:
                best, ranks, cost, found = starts, tried, problem.cost(starts), True
        if not found:
            break
    return best


def _shuffled(problem: Problem, best: list[int], tails: list[float]) -> list[int]:
    """Try small changes of the order in which the plan starts its steps; keep what costs no more.

    The seed is fixed so that planning twice gives one plan; the number of tries falls with the size of
    the problem, so that it takes about a second.
    """
    rng = random.Random(1)  # noqa: S311 - no secret
    by_job: dict[int, list[int]] = {}
    for index, step in enumerate(problem.steps):
        if step.pinned is None:
            by_job.setdefault(step.job, []).append(index)
    if not by_job:
        return best
    now, cost = best, problem.cost(best)
    now_cost = cost
    for _ in range(min(MOST_TRIES, STEPS_TRIED // len(problem.steps))):
        keys = _nudged([float(start) for start in now], list(by_job.values()), rng)
        starts = place(problem, [(key, -tails[index], index) for index, key in enumerate(keys)])
        tried = problem.cost(starts)
        # A trifle worse is taken as well, or the search would stick where nothing small helps.
        if tried <= now_cost * ACCEPT:
            now, now_cost = starts, tried
            if tried < cost:
                best, cost = starts, tried
    return best


def _nudged(keys: list[float], jobs: list[list[int]], rng: random.Random) -> list[float]:
    """Move a whole job, a few steps, or two jobs against each other, by up to a day and a half."""
    kind = rng.random()
    if kind < 0.4:
        by = rng.uniform(-48, 48)
        for index in rng.choice(jobs):
            keys[index] += by
    elif kind < 0.8:
        for _ in range(rng.choice((1, 1, 2, 3))):
            keys[rng.choice(rng.choice(jobs))] += rng.uniform(-40, 24)
    else:
        first, then = rng.choice(jobs), rng.choice(jobs)
        by = min(keys[i] for i in first) - min(keys[i] for i in then)
        for index in first:
            keys[index] -= by
        for index in then:
            keys[index] += by
    return keys
