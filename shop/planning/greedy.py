"""The default planner: the best plan of all rules of priority, then improved by many small changes.

The plan is never worse than the best of the rules. Improving looks at what holds a job up (the chain of
steps that follow each other without a gap) and lets one step of it go before the one it waits for.
"""

from __future__ import annotations

import math
import random

from .dispatch import HorizonError, in_time, rank_rows, serial, tails_h
from .justify import justified, mirrored
from .problem import HOLDS_VEHICLE, Plan, Problem

__all__ = ["HorizonError", "best_rule", "plan_greedily"]

PLACED, TRIES_A_STEP, MOST_TRIES = 500_000, 100, 4_000
PLACED_OF_MANY, FEWEST_TRIES = 200_000, 12
BOTH_WAYS = 500
# A trial that costs such a share more is still taken now and then, in the beginning and in the end.
WARM, COLD = 0.001, 0.0001
WARM_ALONE, COLD_ALONE = 0.016, 0.004
PUSHED_EVERY = 40  # tries: then the plan is pushed back and forth instead


def plan_greedily(problem: Problem, tries: int | None = None) -> Plan:
    """Return the best plan of the rules, improved; the same problem gives the same plan.

    ``tries`` bounds the small changes; 0 leaves the best rule's plan as it is. Left out, it falls with
    the size of the problem, so that it takes some seconds at most. Raises HorizonError.
    """
    best = best_rule(problem)
    if tries is None:
        tries = tries_for(len(problem.steps))
    return improved(problem, best, tries) if tries else best


def tries_for(steps: int) -> int:
    """Return how many small changes are tried for so many steps, so that it takes some seconds at most."""
    count = max(1, steps)
    placed = PLACED if count <= BOTH_WAYS else PLACED_OF_MANY
    return max(FEWEST_TRIES, min(TRIES_A_STEP * count, placed // count, MOST_TRIES))


def best_rule(problem: Problem) -> Plan:
    """Return the cheapest plan of all rules; raises HorizonError if none fits.

    Up to ``BOTH_WAYS`` steps each rule is built in both ways, and pushed back and forth; beyond that the
    second way would take too long.
    """
    small = len(problem.steps) <= BOTH_WAYS
    back = mirrored(problem)
    best: Plan | None = None
    failed = HorizonError("nothing to plan")
    for ranks in rank_rows(problem).values():
        for build in (serial, in_time) if small else (serial,):
            try:
                plan = build(problem, ranks)
            except HorizonError as error:
                failed = error
                continue
            plan = justified(problem, back, plan) if small else plan
            if best is None or problem.cost(plan.starts) < problem.cost(best.starts):
                best = plan
    if best is None:
        raise failed
    return best


def improved(problem: Problem, best: Plan, tries: int, seed: int = 1) -> Plan:
    """Try small changes of the order in which the plan starts its steps; never returns a worse plan."""
    rng = random.Random(seed)  # noqa: S311 - no secret
    free = [index for index, step in enumerate(problem.steps) if step.pinned is None]
    if not free:
        return best
    warm, cold = (WARM_ALONE, COLD_ALONE) if problem.makespan else (WARM, COLD)
    back = mirrored(problem) if len(problem.steps) <= BOTH_WAYS else None
    tails, now = tails_h(problem), best
    cost = now_cost = problem.cost(best.starts)
    moves = _Moves(problem, free, rng)
    for number in range(tries):
        if cost <= problem.least_cost:
            break
        if back and number % PUSHED_EVERY == PUSHED_EVERY - 1:
            plan = justified(problem, back, now)
        else:
            keys = moves.tried(now.starts)
            try:
                plan = serial(problem, [(key, -tails[index]) for index, key in enumerate(keys)])
            except HorizonError:
                continue
        tried = problem.cost(plan.starts)
        warmth = now_cost * warm * (cold / warm) ** (number / tries)
        # A trifle worse is taken as well, or the search would stick where nothing small helps.
        if tried <= now_cost or rng.random() < math.exp((now_cost - tried) / max(warmth, 1e-9)):
            now, now_cost = plan, tried
            if tried < cost:
                best, cost = plan, tried
    return best


class _Moves:
    """Small changes of a plan, as keys by which to place the steps anew: their present starts, nudged."""

    def __init__(self, problem: Problem, free: list[int], rng: random.Random) -> None:
        self.problem, self.free, self.rng = problem, free, rng
        self.jobs: dict[int, list[int]] = {}
        for index in free:
            self.jobs.setdefault(problem.steps[index].job, []).append(index)
        self.job_ids = list(self.jobs)
        self.holders = [
            frozenset(name for name, _ in shares)
            | ({("vehicle", step.job)} if step.kind in HOLDS_VEHICLE else set())
            for shares, step in zip(problem.shares, problem.steps, strict=True)
        ]

    def tried(self, starts: list[int]) -> list[float]:
        """Return keys for one trial."""
        keys = [float(start) for start in starts]
        blocker, job, steps = (0.8, 0.84, 0.98) if self.problem.makespan else (0.3, 0.6, 0.8)
        at = self.rng.random()
        if at < blocker and self._past_its_blocker(keys, starts):
            return keys
        if at < job:
            self._one_job(keys)
        elif at < steps:
            self._few_steps(keys)
        else:
            self._two_jobs(keys)
        return keys

    def _past_its_blocker(self, keys: list[float], starts: list[int]) -> bool:
        """Walk back along what holds a job up, and let one step of that chain go before its blocker."""
        chain = self._chain(starts)
        if not chain:
            return False
        first, then = self.rng.choice(chain)
        keys[then] = keys[first] - 0.5
        if self.rng.random() < 0.3 and len(chain) > 1:
            first, then = self.rng.choice(chain)
            keys[then] = keys[first] - 0.5
        return True

    def _chain(self, starts: list[int]) -> list[tuple[int, int]]:
        """Return pairs (blocker, blocked) that share something, on one job's way back from its end."""
        problem, rng = self.problem, self.rng
        ending: dict[int, list[int]] = {}
        for index, step in enumerate(problem.steps):
            ending.setdefault(starts[index] + step.length, []).append(index)
        ready = problem.ready(starts)
        worst = max(ready, key=lambda job: ready[job])
        job = worst if problem.makespan else rng.choice(list(ready))
        at: int | None = max(
            (i for i, step in enumerate(problem.steps) if step.job == job),
            key=lambda i: problem.calendar.after_wait(
                starts[i] + problem.steps[i].length, problem.tails.get(i, 0.0)
            ),
        )
        found, known = [], dict(enumerate(starts))
        while at is not None:
            tight = self._tight_links(at, starts)
            blockers = [j for j in ending.get(starts[at], ()) if self.holders[j] & self.holders[at]]
            for blocker in blockers:
                if at in self.jobs.get(problem.steps[at].job, ()) and blocker not in tight:
                    found.append((blocker, at))
            choices = blockers + tight
            at = rng.choice(choices) if choices and known[at] > problem.steps[at].release else None
        return _at_block_ends(found)

    def _tight_links(self, index: int, starts: list[int]) -> list[int]:
        problem = self.problem
        return [
            link.first
            for link in problem.before[index]
            if problem.calendar.after_wait(starts[link.first] + problem.steps[link.first].length, link.wait_h)
            + problem.move_between(link)
            == starts[index]
        ]

    def _one_job(self, keys: list[float]) -> None:
        by = self.rng.uniform(-48, 48)
        for index in self.jobs[self.rng.choice(self.job_ids)]:
            keys[index] += by

    def _few_steps(self, keys: list[float]) -> None:
        for _ in range(self.rng.choice((1, 1, 2, 3))):
            keys[self.rng.choice(self.free)] += self.rng.uniform(-40, 24)

    def _two_jobs(self, keys: list[float]) -> None:
        one, two = self.jobs[self.rng.choice(self.job_ids)], self.jobs[self.rng.choice(self.job_ids)]
        by = min(keys[i] for i in one) - min(keys[i] for i in two)
        for index in one:
            keys[index] -= by
        for index in two:
            keys[index] += by


def _at_block_ends(chain: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Leave out pairs inside a row of steps that wait for one another: to swap those gains nothing."""
    blocks = {first for first, _ in chain}
    blocked = {then for _, then in chain}
    return [(first, then) for first, then in chain if not (then in blocks and first in blocked)] or chain
