"""The cheapest set that meets every one of some sets, exactly and with a fixed order of ties."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass


class CutOff(Exception):  # noqa: N818 - not an error: the caller has another way
    """The search needed more steps than it was given."""


@dataclass
class Allowance:
    """How many steps may still be taken, over several searches; a count, so that it is the same anywhere."""

    steps: int

    def take(self) -> None:
        self.steps -= 1
        if self.steps < 0:
            raise CutOff


class _Search:
    """Branch and bound over an un-met set's members.

    Members met by the same sets at the same cost differ only by number, so only the lowest of each
    such group is kept: the order of ties prefers it anyway.
    """

    MAX_DEPTH = 200

    def __init__(self, sets: list[frozenset[int]], cost: Callable[[int], int], allowance: Allowance) -> None:
        meets: dict[int, int] = {}
        for i, members in enumerate(sets):
            for member in members:
                meets[member] = meets.get(member, 0) | 1 << i
        lowest: dict[tuple[int, int], int] = {}
        for member in sorted(meets, reverse=True):
            lowest[meets[member], cost(member)] = member
        kept = sorted(lowest.values())
        self.meets = {member: meets[member] for member in kept}
        self.cost = {member: cost(member) for member in kept}
        self.members = [[m for m in kept if m in members] for members in sets]
        self.all_met = (1 << len(sets)) - 1
        self.allowance = allowance
        self.best: tuple[int, list[int]] | None = None

    def run(self, met: int, spent: int, taken: list[int], barred: frozenset[int]) -> None:
        self.allowance.take()
        if len(taken) > self.MAX_DEPTH:
            raise CutOff
        if met == self.all_met:
            found = (spent, sorted(taken))
            self.best = found if self.best is None else min(self.best, found)
            return
        branch, bound = self._look_ahead(met, barred)
        if branch is None or (self.best and spent + bound > self.best[0]):
            return
        for member in branch:
            self.run(met | self.meets[member], spent + self.cost[member], [*taken, member], barred)
            barred |= {member}

    def _look_ahead(self, met: int, barred: frozenset[int]) -> tuple[list[int] | None, int]:
        """Return the shortest un-met set without barred members, and a lower bound on what is still due.

        The bound adds the cheapest members of un-met sets that have no member in common.
        """
        shortest: list[int] | None = None
        used: set[int] = set()
        bound = 0
        for i, members in enumerate(self.members):
            if met >> i & 1:
                continue
            free = [m for m in members if m not in barred]
            if not free:
                return None, 0
            if shortest is None or len(free) < len(shortest):
                shortest = free
            if used.isdisjoint(free):
                used.update(free)
                bound += min(self.cost[m] for m in free)
        return shortest, bound


def cheapest_hitting_set(
    sets: Iterable[frozenset[int]], cost: Callable[[int], int], allowance: Allowance
) -> list[int]:
    """Return the members, sorted, of the cheapest set with a member in each of `sets`.

    Costs are positive whole numbers. Of equally cheap sets it is the one whose sorted members come
    first. Raises CutOff when the allowance, one step for a node of the search tree, is used up.
    """
    listed = list(sets)
    if not listed:
        return []
    search = _Search(listed, cost, allowance)
    search.run(0, 0, [], frozenset())
    if search.best is None:
        raise ValueError("An empty set cannot be met.")
    return search.best[1]
