"""Why a selection, or a wanted option beside it, leaves no valid build.

Members of an explanation are choices and rules; the families always stand. A rule costs more than all
choices together: fewest rules come first, then fewest choices, then the order of the problem. Reasons of
no rule or of one are read off (see `short`). Longer ones are found as smallest unsatisfiable subsets by
implicit hitting sets (Ignatiev and others 2015): every explanation meets every correction set (a minimal
set of members whose removal makes the rest satisfiable), so the cheapest set that meets all correction
sets found so far is either an explanation, and then none is cheaper, or shows a further correction set.

The work is cut off after MAX_WORK steps (propagations of the solver and nodes of the search, see
`metering`), under a second on a machine of today. What is known by then is given and marked: an
explanation that is minimal but perhaps not the one with the fewest rules, or, where even leaving out
took too long, one that may hold members it does not need. What is proved does not depend on what was
asked before; where the work was cut off it may. Rule sets as workshops have them stay a thousand times
below; selections of hundreds of choices that contradict everything, and contradictions made to be hard
(Ramsey numbers, parity), reach it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from pysat.solvers import MinisatGH

from .encoding import Encoding
from .hitting import Demand, cheapest_hitting_set
from .metering import Allowance, CutOff, metered
from .minimal import minimal
from .short import ShortReasons

MAX_WORK = 3_000_000
# A node of the search for hitting sets takes about as long as so many propagations.
NODE = 100


@dataclass(frozen=True)
class Explanation:
    """Sorted members that contradict, and what is proved of them."""

    members: list[int]
    minimal: bool = True
    fewest_rules: bool = True


class Explainer:
    """Finds explanations with its own warm solver, in which each rule has a selector."""

    def __init__(self, encoding: Encoding) -> None:
        self.first_selector = encoding.first_selector
        rules = len(encoding.rule_clauses)
        self.selectors = list(range(self.first_selector, self.first_selector + rules))
        self.short = ShortReasons(encoding)
        self.encoding = encoding
        self.allowance = Allowance(MAX_WORK)

    @cached_property
    def solver(self) -> MinisatGH:
        """The solver, made when a first reason of two rules or more is sought."""
        return self.encoding.solver_with_selectors()

    def explain(self, base: list[int], choices: list[int]) -> Explanation | None:
        """Return the cheapest members that contradict `base`, or the best known when it takes too long.

        `base` are options that stand whatever happens and are no members. None when there is no
        contradiction.
        """
        short = self.short.find(base, choices)
        if short is not None:
            return Explanation(short)
        present = set(base)
        soft = [variable for variable in choices if variable not in present] + self.selectors
        if self.solver.solve(base + soft):
            return None
        self.allowance = Allowance(MAX_WORK)
        return self._longer(base, soft, len(choices) + 1)

    def _longer(self, base: list[int], soft: list[int], rule_cost: int) -> Explanation:
        """Return an explanation of two rules or more; the solver has just refused `soft`."""
        known = self._core(base)
        try:
            known = minimal(known, lambda some: None if self._holds(base, some) else self._core(base))
        except CutOff:
            return Explanation(sorted(known), minimal=False, fewest_rules=self._rules(known) <= 2)

        def cost(member: int) -> int:
            return rule_cost if member >= self.first_selector else 1

        search = _Search(self, base, frozenset(soft), known, cost)
        try:
            return Explanation(search.cheapest())
        except CutOff:
            fewest = max(2, self._rules(search.least))
            return Explanation(sorted(known), fewest_rules=self._rules(known) <= fewest)

    def _rules(self, members: list[int]) -> int:
        return sum(member >= self.first_selector for member in members)

    def _holds(self, base: list[int], members: list[int]) -> bool:
        return metered(self.solver, base + members, self.allowance)

    def _core(self, base: list[int]) -> list[int]:
        """Return members that were enough for the contradiction just found."""
        return [member for member in self.solver.get_core() or [] if member not in base]


class _Search:
    """The search for the cheapest explanation; `least` is the best lower bound found so far."""

    def __init__(
        self,
        explainer: Explainer,
        base: list[int],
        soft: frozenset[int],
        known: list[int],
        cost: Callable[[int], int],
    ) -> None:
        self.explainer = explainer
        self.base = base
        self.soft = soft
        self.known = known
        self.cost = cost
        self.least: list[int] = []

    def _holds(self, members: list[int]) -> bool:
        return self.explainer._holds(self.base, members)

    def cheapest(self) -> list[int]:
        corrections: list[Demand] = []
        target = sorted(self.known)
        while True:
            allowance = Allowance(self.explainer.allowance.steps // NODE)
            before = allowance.steps
            self.least = cheapest_hitting_set(corrections, self.cost, allowance)
            self.explainer.allowance.take((before - allowance.steps) * NODE)
            if self.least == target or not self._holds(self.least):
                return self.least
            corrections.append((self._correction(self.least), 1))

    def _correction(self, kept: list[int]) -> frozenset[int]:
        """Return a correction set that `kept`, which is satisfiable, does not meet.

        Sets aside one contradiction after the other until the rest is satisfiable, then takes back
        all that the model found allows.
        """
        aside = [member for member in self.known if member not in kept]
        rest = set(self.soft.difference(kept, aside))
        while not self._holds([*kept, *rest]):
            core = rest.intersection(self.explainer._core(self.base))
            aside += sorted(core)
            rest -= core
        return self._take_back([*kept, *rest], aside)

    def _take_back(self, kept: list[int], aside: list[int]) -> frozenset[int]:
        correction: list[int] = []
        aside, kept = self._split_by_model(aside, kept)
        while aside:
            member = aside.pop()
            if not aside and not correction:
                return frozenset([member])
            if self._holds([*kept, member]):
                aside, kept = self._split_by_model(aside, [*kept, member])
            else:
                correction.append(member)
        return frozenset(correction)

    def _split_by_model(self, aside: list[int], kept: list[int]) -> tuple[list[int], list[int]]:
        """Return `aside` without the members that the solver's model satisfies, and `kept` with them."""
        model = self.explainer.solver.get_model()
        taken = [member for member in aside if model[member - 1] > 0]
        return [member for member in aside if model[member - 1] < 0], kept + taken
