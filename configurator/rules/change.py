"""The smallest change that makes a wanted option, or the whole selection, possible.

What is minimised: the number of choices dropped, then their cost, then their order in the catalogue.
After it the choices that are left, with the wanted option, can be completed to a whole valid build.
``add`` names the wanted option; what the new choices force besides is told by the engine's ``forced``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from pysat.examples.rc2 import RC2
from pysat.formula import WCNF

from .encoding import Encoding


@dataclass(frozen=True)
class Change:
    """Choices to drop and options to add."""

    drop: tuple[str, ...]
    add: tuple[str, ...]

    def as_dict(self) -> dict[str, list[str]]:
        """Return the contract's form."""
        return {"drop": list(self.drop), "add": list(self.add)}


def smallest_change(
    encoding: Encoding,
    solver: Any,
    chosen: Sequence[int],
    want: int | None,
    costs: Mapping[str, Decimal | float] | None = None,
    fixed: Sequence[int] = (),
) -> Change | None:
    """Return the smallest change, or None when dropping every choice would not help.

    ``costs`` is what giving a choice up costs; it only decides between changes of the same number.
    ``fixed`` names choices that cannot be dropped, such as facts of the vehicle.
    """
    ground = [*fixed] if want is None else [want, *fixed]
    if not solver.solve(assumptions=ground):
        return None
    free = [number for number in chosen if number not in ground]
    dropped = _fewest(encoding, solver, free, ground, costs or {})
    names = encoding.options
    add = () if want is None or want in chosen else (names[want - 1],)
    return Change(tuple(names[number - 1] for number in sorted(dropped)), add)


def _fewest(
    encoding: Encoding,
    solver: Any,
    chosen: Sequence[int],
    ground: list[int],
    costs: Mapping[str, Decimal | float],
) -> list[int]:
    """Return the choices to drop: one of them if that is enough, else by weighted MaxSAT."""
    if solver.solve(assumptions=[*ground, *chosen]):
        return []
    weight = {number: float(costs.get(encoding.options[number - 1], 0)) for number in chosen}
    for number in sorted(chosen, key=lambda n: (weight[n], n)):
        if solver.solve(assumptions=[*ground, *(other for other in chosen if other != number)]):
            return [number]
    return _by_maxsat(encoding, chosen, ground, weight)


def _by_maxsat(
    encoding: Encoding, chosen: Sequence[int], ground: list[int], weight: Mapping[int, float]
) -> list[int]:
    """Weigh number before cost before order, in whole numbers so large that they never mix."""
    formula = WCNF()
    for clause in (*encoding.families, *encoding.rules, *([literal] for literal in ground)):
        formula.append(clause)
    ranked = sorted(chosen, key=lambda n: (weight[n], n))
    place = {number: position for position, number in enumerate(ranked, start=1)}
    by_order = len(chosen) * (len(chosen) + 1) + 1
    cents = {number: round(weight[number] * 100) for number in chosen}
    by_number = by_order * (sum(cents.values()) + 1)
    for number in chosen:
        formula.append([number], weight=by_number + by_order * cents[number] + place[number])
    with RC2(formula, adapt=True, exhaust=True, minz=True) as optimiser:
        model = set(optimiser.compute())
    return [number for number in chosen if number not in model]
