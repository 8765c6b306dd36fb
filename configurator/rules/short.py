"""Contradictions of no rule or of one, read off the families without a solver.

The families have no option in common, so without rules a selection contradicts itself only where it has
too many of one family. When it does not, one rule contradicts it only if each literal of its clause is
false by itself: an option is absent because its family is full of choices, or not absent because it is
chosen (or all that its one-of family has). So the cheapest reason of at most one rule is found by looking
at the rules that speak of the choices, however many others there are.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator

from .encoding import Encoding


class ShortReasons:
    """Finds the cheapest contradiction of at most one rule; an index of the rules is made once."""

    def __init__(self, encoding: Encoding) -> None:
        self.first_selector = encoding.first_selector
        self.limits = encoding.limits
        self.clauses = encoding.rule_clauses
        self.family: dict[int, int] = {}
        for number, (members, _) in enumerate(encoding.limits):
            self.family |= dict.fromkeys(members, number)
        # Families of which nothing may be chosen at all.
        self.shut = {number for number, (_, limit) in enumerate(encoding.limits) if not limit}
        self.always = frozenset(encoding.always)
        self.impossible = encoding.impossible
        # A clause is false only when its first literal is: filed under what decides that one.
        self.by_option: dict[int, list[int]] = {}
        self.by_family: dict[int, list[int]] = {}
        self.anywhere: list[int] = []
        for rule, clause in enumerate(self.clauses):
            self._file(rule, clause)

    def _file(self, rule: int, clause: list[int]) -> None:
        needed = [-literal for literal in clause if literal < 0 and -literal not in self.always]
        if needed:
            self.by_option.setdefault(needed[0], []).append(rule)
        elif (first := next((literal for literal in clause if literal > 0), None)) is None:
            self.anywhere.append(rule)
        elif first in self.family:
            self.by_family.setdefault(self.family[first], []).append(rule)

    def find(self, base: Collection[int], choices: Collection[int]) -> list[int] | None:
        """Return the cheapest members, sorted, of a contradiction of at most one rule, or None.

        ``base`` are options that stand and are no members. Fewest rules come first, then fewest choices,
        then the lowest numbers: the order of `Explainer.explain`.
        """
        if self.impossible:
            return []
        stands, free = set(base), set(choices).difference(base)
        crowded = list(self._crowded(stands, free))
        found = crowded or list(self._violated(stands, free))
        return min(found, key=lambda members: (len(members), members), default=None)

    def _members(self, options: Iterable[int]) -> dict[int, list[int]]:
        """Return the options by their limited family, sorted."""
        found: dict[int, list[int]] = {}
        for option in sorted(options):
            if option in self.family:
                found.setdefault(self.family[option], []).append(option)
        return found

    def _crowded(self, base: set[int], free: set[int]) -> Iterator[list[int]]:
        taken = Counter(self.family[option] for option in base if option in self.family)
        picked = self._members(free)
        for number in {*taken, *picked}:
            limit, there = self.limits[number][1], picked.get(number, [])
            if taken[number] + len(there) > limit:
                yield there[: max(limit + 1 - taken[number], 0)]

    def _violated(self, base: set[int], free: set[int]) -> Iterator[list[int]]:
        present, asked = base | free | self.always, free - self.always
        picked = self._members(free)
        count = Counter(self.family[option] for option in base | free if option in self.family)
        full = self.shut | {number for number in count if count[number] == self.limits[number][1]}
        rules = [rule for option in base | free for rule in self.by_option.get(option, ())]
        rules += [rule for number in full for rule in self.by_family.get(number, ())]
        for rule in (*self.anywhere, *rules):
            needed = self._needed(self.clauses[rule], asked, present, full, picked)
            if needed is not None:
                yield [*sorted(needed), self.first_selector + rule]

    def _needed(
        self,
        clause: list[int],
        free: set[int],
        present: set[int],
        full: set[int],
        picked: dict[int, list[int]],
    ) -> set[int] | None:
        """Return the choices by which every literal of a clause is false, None when one need not be."""
        needed: set[int] = set()
        for literal in clause:
            if (abs(literal) in present) == (literal > 0):
                return None
            if literal < 0:
                needed |= free.intersection([-literal])
            elif self.family.get(literal) in full:
                needed.update(picked.get(self.family[literal], ()))
            else:
                return None
        return needed
