"""Which options are open and which are forced beside a selection, in as few solver calls as it takes.

Each model the solver finds is a whole valid build and settles every option in it at once. The
solver is told to prefer options not settled yet (its phases), and is asked for one such option each
time, so every call settles at least one: there are never more calls than options, and on real
rule sets there are few. Options that unit propagation closes cost nothing. Propagation is only
a short cut: what it does not close is always asked.
"""

from pysat.solvers import MinisatGH


class Sweep:
    """Collects what models show: `unsettled` options not yet seen, `always` seen in every model."""

    def __init__(self, solver: MinisatGH, size: int, chosen: list[int]) -> None:
        self.solver = solver
        self.size = size
        self.chosen = chosen
        self.closed: set[int] = set()
        self.forced: set[int] = set()
        self.unsettled: set[int] = set()
        self.consistent = self._begin()

    def _begin(self) -> bool:
        possible, implied = self.solver.propagate(self.chosen)
        if not possible:
            return False
        self.unsettled = set(range(1, self.size + 1))
        self.unsettled.difference_update(self.chosen)
        self.closed = {-literal for literal in implied if -self.size <= literal < 0}
        self.forced = {literal for literal in implied if 0 < literal <= self.size}
        self.forced.difference_update(self.chosen)
        self.unsettled -= self.closed
        self.solver.set_phases(list(self.unsettled))
        if not self.solver.solve(self.chosen):
            return False
        self.always = set(range(1, self.size + 1)).difference(self.chosen, self.forced)
        self._learn()
        return True

    def _learn(self) -> None:
        """Take the options of the model just found as settled, and no longer prefer them."""
        model = self.solver.get_model()[: self.size]
        seen = self.unsettled.intersection(model)
        self.unsettled -= seen
        if self.always:
            self.always.intersection_update(model)
        self.solver.set_phases([-variable for variable in seen])

    def find_closed(self) -> set[int]:
        """Return the variables of all options that no whole valid build with the choices has."""
        while self.unsettled:
            variable = next(iter(self.unsettled))
            if self.solver.solve([*self.chosen, variable]):
                self._learn()
            else:
                self.unsettled.discard(variable)
                self.closed.add(variable)
        return self.closed

    def find_forced(self) -> set[int]:
        """Return the variables of all options that every such build has besides the choices."""
        while self.always:
            variable = self.always.pop()
            if self.solver.solve([*self.chosen, -variable]):
                self._learn()
            else:
                self.forced.add(variable)
        return self.forced


def open_among(solver: MinisatGH, chosen: list[int], options: list[int]) -> list[int]:
    """Return those of `options` that are open beside `chosen`, asking for each.

    For options of which a build has only one, where one model cannot settle several.
    """
    possible, implied = solver.propagate(chosen)
    if not options or not possible or not solver.solve(chosen):
        return []
    implied = set(implied)
    return [option for option in options if -option not in implied and solver.solve([*chosen, option])]
