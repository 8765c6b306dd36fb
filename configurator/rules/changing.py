"""The smallest set of choices to drop so that a wanted option, or the rest, has a valid build.

By the same duality as in `explaining`, the other way round: every sufficient drop meets every minimal
clash among the choices. The cheapest set meeting the clashes found so far is tried; when it is not
enough it shows further clashes. A selection so contradictory that this takes too long goes to the
library's MaxSAT solver, which is as exact.

Both are cut off by counted work (see `metering`). A drop is then given that suffices and from which no
choice can be kept, marked as perhaps not the smallest.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import lcm

from pysat.examples.rc2 import RC2
from pysat.formula import WCNF
from pysat.solvers import MinisatGH

from .encoding import Encoding
from .hitting import cheapest_hitting_set
from .metering import Allowance, CutOff, metered
from .minimal import minimal

Cost = int | float | Decimal | Fraction
MAX_WORK = 1_000_000
MAX_NODES = 4_000
MAX_MAXSAT_WORK = 700_000


@dataclass(frozen=True)
class Drop:
    """Variables to drop; `smallest` says whether it is proved that no smaller drop suffices."""

    variables: list[int]
    smallest: bool = True


def whole_weights(costs: Mapping[int, Cost]) -> dict[int, int]:
    """Return whole positive weights that order sets by their number of members, then by summed cost.

    Costs are taken exactly (as fractions) and may be negative.
    """
    exact = {key: Fraction(cost) for key, cost in costs.items()}
    scale = lcm(*(cost.denominator for cost in exact.values()))
    whole = {key: int(cost * scale) for key, cost in exact.items()}
    one = 1 + 2 * sum(abs(cost) for cost in whole.values())
    return {key: one + cost for key, cost in whole.items()}


class _Dropper:
    """Collects what is known of the drops that suffice: sets of choices, each with how many have to go."""

    def __init__(self, solver: MinisatGH, base: list[int], choices: list[int]) -> None:
        self.solver = solver
        self.base = base
        self.choices = choices
        self.demands: list[tuple[frozenset[int], int]] = []
        self.allowance = Allowance(MAX_WORK)

    def crowd(self, members: list[int], limit: int) -> None:
        """Demand that a family with more choices than its limit loses the excess."""
        droppable = frozenset(self.choices).intersection(members)
        excess = len(droppable) + len(set(self.base).intersection(members)) - limit
        if excess > 0:
            self.demands.append((droppable, excess))

    def collect(self, dropped: list[int]) -> bool:
        """Demand one member of each clash that dropping `dropped` leaves; return whether there is any.

        Only clashes without members in common are collected: one after the other is set aside.
        """
        kept = [choice for choice in self.choices if choice not in dropped]
        found = False
        while (core := self._core(kept)) is not None:
            clash = frozenset(minimal(core, self._core))
            self.demands.append((clash, 1))
            kept = [choice for choice in kept if choice not in clash]
            found = True
        return found

    def _core(self, kept: list[int]) -> list[int] | None:
        """Return choices of `kept` that clash, or None when they all go together."""
        if metered(self.solver, self.base + kept, self.allowance):
            return None
        return [literal for literal in self.solver.get_core() or [] if literal not in self.base]


class _Limited(RC2):
    """The library's MaxSAT solver with its work counted."""

    allowance = Allowance(0)

    def _call_oracle(self, assumptions: list[int] = [], expect_interrupt: bool = False) -> bool:  # noqa: B006
        return metered(self.oracle, assumptions, self.allowance)


def _by_maxsat(encoding: Encoding, base: list[int], weights: Mapping[int, int]) -> list[int]:
    formula = WCNF()
    for clause in encoding.family_clauses + encoding.rule_clauses + [[literal] for literal in base]:
        formula.append(clause)
    for choice, weight in weights.items():
        formula.append([choice], weight=weight)
    with _Limited(formula, adapt=True, exhaust=True) as maxsat:
        maxsat.allowance = Allowance(MAX_MAXSAT_WORK)
        model = set(maxsat.compute())
    return [choice for choice in weights if choice not in model]


def smallest_drop(
    encoding: Encoding, solver: MinisatGH, base: list[int], costs: Mapping[int, Cost]
) -> Drop | None:
    """Return what to drop, of the variables in `costs`, so that the rest and `base` have a build.

    Fewest first, then the lowest summed cost; the order in which `costs` lists the choices settles
    what is then still equal. None when `base` alone has no build.
    """
    if not solver.solve(base):
        return None
    weights = whole_weights(costs)
    dropper = _Dropper(solver, base, list(costs))
    for members, limit in encoding.limits:
        dropper.crowd(members, limit)
    for way in (lambda: _by_hitting(dropper, weights), lambda: _by_maxsat(encoding, base, weights)):
        try:
            return Drop(way())
        except CutOff:
            continue
    return Drop(_sufficient(solver, base, weights), smallest=False)


def _by_hitting(dropper: _Dropper, weights: Mapping[int, int]) -> list[int]:
    # The search breaks ties by number, so number the choices in the order they are listed.
    choices = dropper.choices
    rank = {choice: i for i, choice in enumerate(choices)}
    allowance = Allowance(MAX_NODES)
    while True:
        ranked = [(frozenset(rank[choice] for choice in some), due) for some, due in dropper.demands]
        found = cheapest_hitting_set(ranked, lambda i: weights[choices[i]], allowance)
        dropped = [choices[i] for i in found]
        if not dropper.collect(dropped):
            return dropped


def _sufficient(solver: MinisatGH, base: list[int], weights: Mapping[int, int]) -> list[int]:
    """Return a drop that suffices: keeps one choice after the other, the dearest first, while it can."""
    kept, dropped = list(base), []
    for choice in sorted(weights, key=lambda one: -weights[one]):
        if solver.solve([*kept, choice]):
            kept.append(choice)
        else:
            dropped.append(choice)
    return [choice for choice in weights if choice in dropped]
