"""The cheapest set that has enough members of each of some sets, exactly and with a fixed order of ties."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from .metering import Allowance, CutOff

# A set, and how many of its members are wanted at least.
Demand = tuple[frozenset[int], int]


@dataclass
class _Alike:
    """Members of the same sets at the same cost: they differ by number alone, so the lowest go first."""

    cost: int
    sets: tuple[int, ...]
    members: list[int]
    used: int = 0
    barred: bool = False

    @property
    def left(self) -> int:
        return 0 if self.barred else len(self.members) - self.used


class _Search:
    """Branch and bound: takes members of an un-met set one after the other, cheapest first."""

    # Two frames of the interpreter's thousand for each.
    MAX_DEPTH = 200

    def __init__(self, demands: list[Demand], cost: Callable[[int], int], allowance: Allowance) -> None:
        inside: dict[int, list[int]] = {}
        for i, (members, _) in enumerate(demands):
            for member in members:
                inside.setdefault(member, []).append(i)
        groups: dict[tuple[int, tuple[int, ...]], list[int]] = {}
        for member in sorted(inside):
            groups.setdefault((cost(member), tuple(inside[member])), []).append(member)
        alike = [_Alike(price, sets, members) for (price, sets), members in groups.items()]
        alike.sort(key=lambda group: (group.cost, group.members[0]))
        self.groups: list[list[_Alike]] = [[] for _ in demands]
        for group in alike:
            for i in group.sets:
                self.groups[i].append(group)
        self.due = [number for _, number in demands]
        self.allowance = allowance
        self.taken: list[int] = []
        self.best: tuple[int, list[int]] | None = None

    def run(self, spent: int) -> None:
        self.allowance.take()
        if len(self.taken) > self.MAX_DEPTH:
            raise CutOff
        branch, bound = self._look_ahead()
        if branch is None or (self.best and spent + bound > self.best[0]):
            return
        if not branch:
            found = (spent, sorted(self.taken))
            self.best = found if self.best is None else min(self.best, found)
            return
        tried = [group for group in branch if group.left]
        for group in tried:
            self._take(group, spent)
            group.barred = True
        for group in tried:
            group.barred = False

    def _take(self, group: _Alike, spent: int) -> None:
        self.taken.append(group.members[group.used])
        group.used += 1
        for i in group.sets:
            self.due[i] -= 1
        self.run(spent + group.cost)
        for i in group.sets:
            self.due[i] += 1
        group.used -= 1
        self.taken.pop()

    def _look_ahead(self) -> tuple[list[_Alike] | None, int]:
        """Return the groups of an un-met set with few members, and a lower bound on the cost still due.

        Nothing when all sets are met, None when one cannot be. The bound adds the cheapest members of
        un-met sets that have no member in common.
        """
        branch: list[_Alike] = []
        fewest = bound = 0
        counted: set[int] = set()
        for i, due in enumerate(self.due):
            if due <= 0:
                continue
            left = sum(group.left for group in self.groups[i])
            if left < due:
                return None, 0
            if not branch or left < fewest:
                branch, fewest = self.groups[i], left
            ids = {id(group) for group in self.groups[i] if group.left}
            if counted.isdisjoint(ids):
                counted |= ids
                bound += self._cheapest(i, due)
        return branch, bound

    def _cheapest(self, i: int, due: int) -> int:
        """Return the cost of the `due` cheapest members left of set i."""
        total = 0
        for group in self.groups[i]:
            number = min(due, group.left)
            total += number * group.cost
            due -= number
        return total


def cheapest_hitting_set(
    demands: Iterable[Demand], cost: Callable[[int], int], allowance: Allowance
) -> list[int]:
    """Return the members, sorted, of the cheapest set that meets every demand.

    Costs are positive whole numbers. Of equally cheap sets it is the one whose sorted members come
    first. Raises CutOff when the allowance, one step for a node of the search tree, is used up.
    """
    search = _Search(list(demands), cost, allowance)
    search.run(0)
    if search.best is None:
        raise ValueError("A demand asks for more members than there are.")
    return search.best[1]
