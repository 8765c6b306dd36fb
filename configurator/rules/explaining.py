"""Why a selection, or a wanted option beside it, leaves no valid build.

Members of an explanation are choices and rules; the families always stand. It is found as a
smallest unsatisfiable subset by implicit hitting sets (Ignatiev and others 2015): every explanation
meets every correction set (a minimal set of members whose removal makes the rest satisfiable), so the
cheapest set that meets all correction sets found so far is either an explanation, and then none is
cheaper, or shows a further correction set. A rule costs more than all choices together: fewest
rules come first, then fewest choices, then the order of the problem. So the answer does not depend
on what the solver was asked before.

The work is cut off after MAX_STEPS steps of the search for hitting sets or MAX_CALLS solver calls
(counts, not a clock, so that a busy machine answers alike), about a second at most. What is then
returned is still minimal, with `proved` False. Rule sets as workshops have them stay a thousand times
below; contradictions made to be hard (Ramsey numbers, parity) reach it.
"""

from collections.abc import Callable

from .encoding import Encoding
from .hitting import Allowance, CutOff, Demand, cheapest_hitting_set

MAX_CALLS = 4_000
MAX_STEPS = 50_000


class Explainer:
    """Finds explanations with its own warm solver, in which each rule has a selector."""

    def __init__(self, encoding: Encoding) -> None:
        self.first_selector = encoding.first_selector
        rules = len(encoding.rule_clauses)
        self.selectors = list(range(self.first_selector, self.first_selector + rules))
        self.solver = encoding.solver_with_selectors()
        self.calls = 0

    def explain(self, base: list[int], choices: list[int]) -> tuple[list[int], bool] | None:
        """Return the cheapest members, sorted, that contradict `base`, and whether that is proved.

        `base` are literals that stand whatever happens and are no members. None when there is no
        contradiction.
        """
        self.calls = 0
        present = set(base)
        soft = [variable for variable in choices if variable not in present] + self.selectors
        if self._holds(base, soft):
            return None
        known = self._minimal(base, self._core(base))
        rule_cost = len(choices) + 1

        def cost(member: int) -> int:
            return rule_cost if member >= self.first_selector else 1

        try:
            return self._cheapest(base, frozenset(soft), known, cost), True
        except CutOff:
            return sorted(known), all(member < self.first_selector for member in known)

    def _holds(self, base: list[int], members: list[int]) -> bool:
        self.calls += 1
        return bool(self.solver.solve(base + members))

    def _core(self, base: list[int]) -> list[int]:
        """Return members that were enough for the contradiction just found."""
        return [member for member in self.solver.get_core() or [] if member not in base]

    def _minimal(self, base: list[int], core: list[int]) -> list[int]:
        """Return a part of `core` from which nothing can be left out."""
        i = 0
        while i < len(core):
            rest = core[:i] + core[i + 1 :]
            if self._holds(base, rest):
                i += 1
            else:
                still = set(self._core(base))
                core = [member for member in rest if member in still]
        return core

    def _cheapest(
        self, base: list[int], soft: frozenset[int], known: list[int], cost: Callable[[int], int]
    ) -> list[int]:
        corrections: list[Demand] = []
        target = sorted(known)
        allowance = Allowance(MAX_STEPS)
        while True:
            hitting = cheapest_hitting_set(corrections, cost, allowance)
            if hitting == target or not self._holds(base, hitting):
                return hitting
            if self.calls > MAX_CALLS:
                raise CutOff
            corrections.append((self._correction(base, hitting, soft, known), 1))

    def _correction(
        self, base: list[int], kept: list[int], soft: frozenset[int], known: list[int]
    ) -> frozenset[int]:
        """Return a correction set that `kept`, which is satisfiable, does not meet.

        Sets aside one contradiction after the other until the rest is satisfiable, then takes back
        all that the model found allows. `known` is a contradiction found earlier.
        """
        aside = [member for member in known if member not in kept]
        rest = set(soft.difference(kept, aside))
        while not self._holds(base, [*kept, *rest]):
            core = rest.intersection(self._core(base))
            aside += sorted(core)
            rest -= core
        return self._take_back(base, [*kept, *rest], aside)

    def _take_back(self, base: list[int], kept: list[int], aside: list[int]) -> frozenset[int]:
        correction: list[int] = []
        aside, kept = self._split_by_model(aside, kept)
        while aside:
            member = aside.pop()
            if not aside and not correction:
                return frozenset([member])
            if self._holds(base, [*kept, member]):
                aside, kept = self._split_by_model(aside, [*kept, member])
            else:
                correction.append(member)
        return frozenset(correction)

    def _split_by_model(self, aside: list[int], kept: list[int]) -> tuple[list[int], list[int]]:
        """Return `aside` without the members that the solver's model satisfies, and `kept` with them."""
        model = self.solver.get_model()
        taken = [member for member in aside if model[member - 1] > 0]
        return [member for member in aside if model[member - 1] < 0], kept + taken
