"""Work that is counted, so that a hopeless question ends in time and alike on every machine.

Counted are the solver's propagations and the nodes of our own searches, never a clock: a busy machine
answers as an idle one does.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any


class CutOff(Exception):  # noqa: N818 - not an error: the caller has another way
    """The work needed more steps than it was given."""


@dataclass
class Allowance:
    """How many steps may still be taken, over several searches."""

    steps: int

    def take(self, steps: int = 1) -> None:
        """Take steps; raises CutOff when there are not as many."""
        self.steps -= steps
        if self.steps < 0:
            raise CutOff


def metered(solver: Any, assumptions: Iterable[int], allowance: Allowance) -> bool:
    """Return whether the solver finds a model, its propagations taken from the allowance.

    Raises CutOff when the answer needs more propagations than are left.
    """
    before = solver.accum_stats()["propagations"]
    solver.prop_budget(max(allowance.steps, 1))
    found = solver.solve_limited(assumptions=list(assumptions))
    solver.prop_budget(-1)
    if found is None:
        raise CutOff
    allowance.take(solver.accum_stats()["propagations"] - before)
    return bool(found)
