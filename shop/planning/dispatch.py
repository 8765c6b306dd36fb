"""Building a plan step by step, by rules of priority.

Two ways of building: *serial* takes the open step of least rank and places it as early as can be, also in
a gap before what is placed already; *in time* always places whatever can begin first, as a foreman does who
never lets anyone stand idle, and asks the rank only between steps that can begin at once. The rules are the
textbook ones (Pinedo, Scheduling, chapter on dispatching rules; from memory).
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence

from .occupied import HorizonError, Occupied
from .problem import Plan, Problem

__all__ = ["RULES", "HorizonError", "in_time", "rank_rows", "serial", "tails_h"]

Rank = tuple[float, ...]


class _Building:
    """A plan while it is being built: pinned steps stand from the beginning."""

    def __init__(self, problem: Problem, occupied: Occupied | None = None) -> None:
        self.problem = problem
        self.occupied = occupied or Occupied(problem)
        self.starts: dict[int, int] = {}
        self.who: list[int | None] = [None] * len(problem.steps)
        pinned = [(step.pinned, i) for i, step in enumerate(problem.steps) if step.pinned is not None]
        for pin, index in sorted(pinned):
            self.put(index, *self._pinned(index, pin))
        self.waiting = [sum(link.first not in self.starts for link in links) for links in problem.before]

    def _pinned(self, index: int, pinned: int) -> tuple[int, int | None]:
        try:
            at, who = self.occupied.first_free(index, pinned)
        except HorizonError:
            at, who = pinned, None
        return pinned, who if at == pinned else None

    def put(self, index: int, start: int, who: int | None) -> None:
        self.starts[index], self.who[index] = start, who
        self.occupied.take(index, start, who)

    def opened_by(self, index: int) -> list[int]:
        """Return the steps that wait for nothing more once this one is placed."""
        found = []
        for link in self.problem.following[index]:
            self.waiting[link.then] -= 1
            if not self.waiting[link.then] and link.then not in self.starts:
                found.append(link.then)
        return found

    def open(self) -> list[int]:
        return [i for i, n in enumerate(self.waiting) if not n and i not in self.starts]

    def plan(self) -> Plan:
        return Plan([self.starts[index] for index in range(len(self.starts))], self.who)


def serial(problem: Problem, ranks: Sequence[Rank], occupied: Occupied | None = None) -> Plan:
    """Return the plan that takes the open step of least rank first; raises HorizonError.

    ``occupied`` is what other work has taken already; it is changed.
    """
    building = _Building(problem, occupied)
    heap = [(ranks[i], i) for i in building.open()]
    heapq.heapify(heap)
    while heap:
        _, index = heapq.heappop(heap)
        start, who = building.occupied.first_free(index, problem.earliest(index, building.starts))
        building.put(index, start, who)
        for then in building.opened_by(index):
            heapq.heappush(heap, (ranks[then], then))
    return building.plan()


def in_time(problem: Problem, ranks: Sequence[Rank]) -> Plan:
    """Return the plan that always begins what can begin first, of several the least rank; HorizonError.

    A step's first free slot only ever gets later while others are placed, so a figure that has gone stale
    is put right when its turn comes.
    """
    building = _Building(problem)
    heap: list[tuple[int, Rank, int]] = []

    def push(index: int) -> None:
        early = problem.earliest(index, building.starts)
        start, _ = building.occupied.first_free(index, early)
        heapq.heappush(heap, (start, ranks[index] or (early,), index))

    for index in building.open():
        push(index)
    while heap:
        start, rank, index = heapq.heappop(heap)
        now, who = building.occupied.first_free(index, start)
        if now > start:
            heapq.heappush(heap, (now, rank, index))
            continue
        building.put(index, now, who)
        for then in building.opened_by(index):
            push(then)
    return building.plan()


def tails_h(problem: Problem) -> list[float]:
    """Return for each step the elapsed hours of work and waits from its start to its job's end."""
    found = [0.0] * len(problem.steps)
    for index in reversed(problem.in_order):
        own = problem.steps[index].length / 4
        rest = [link.wait_h + found[link.then] for link in problem.following[index]]
        found[index] = own + max([*rest, problem.tails.get(index, 0.0)])
    return found


class _Facts:
    """What the rules look at."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.tails = tails_h(problem)
        self.job_h: dict[int, float] = {}
        self.left: list[int] = [0] * len(problem.steps)
        self.work_left: list[int] = [0] * len(problem.steps)
        for index in reversed(problem.in_order):
            step, after = problem.steps[index], problem.following[index]
            self.job_h[step.job] = max(self.job_h.get(step.job, 0.0), self.tails[index])
            self.left[index] = 1 + max((self.left[link.then] for link in after), default=0)
            self.work_left[index] = step.length + max(
                (self.work_left[link.then] for link in after), default=0
            )
        self.far = len(problem.calendar)

    def due(self, index: int) -> int:
        return self.problem.due.get(self.problem.steps[index].job, self.far)


# Least rank first. An empty rank in time is first come, first served: whoever has waited longest.
RULES: dict[str, Callable[[_Facts, int], Rank]] = {
    "first come, first served": lambda f, i: (),
    "shortest step": lambda f, i: (f.problem.steps[i].length,),
    "longest step": lambda f, i: (-f.problem.steps[i].length,),
    "most work left": lambda f, i: (-f.tails[i],),
    "least work left": lambda f, i: (f.tails[i],),
    "most hands-on work left": lambda f, i: (-f.work_left[i],),
    "least hands-on work left": lambda f, i: (f.work_left[i],),
    "most steps left": lambda f, i: (-f.left[i],),
    "earliest due": lambda f, i: (f.due(i), f.problem.steps[i].job, -f.tails[i]),
    "least slack": lambda f, i: (f.due(i) - 4 * f.tails[i],),
    "shortest job": lambda f, i: (f.job_h[f.problem.steps[i].job], f.problem.steps[i].job, -f.tails[i]),
    "job by job": lambda f, i: (f.problem.steps[i].job, -f.tails[i]),
}


def rank_rows(problem: Problem) -> dict[str, list[Rank]]:
    """Return for each rule the rank of every step."""
    facts = _Facts(problem)
    return {name: [rule(facts, index) for index in range(len(problem.steps))] for name, rule in RULES.items()}
