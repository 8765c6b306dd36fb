"""The rule engine: exact answers to a partial selection, from a warm solver."""

import os
import threading
import weakref
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from .changing import Cost, smallest_drop
from .encoding import Encoding
from .explaining import Explainer
from .model import Answer, Change, Problem, Why
from .replacing import open_facts, reopened, singles
from .sweep import Sweep

Ids = Iterable[str]


class Engine:
    """Answers questions about one problem; keep it while the problem (the catalogue version) stands.

    A *build* is any set of options; it is *valid* when every family and every rule is satisfied by
    it, options outside the set being absent. A selection (`chosen`) is part of a build: its options
    stand, nothing is said about the others.

    One engine may be used from many threads: questions are answered one after the other under a
    lock. Pickling sends the problem alone, and a forked process builds its own solvers. No answer
    depends on what was asked before, but for the parts of an answer that are marked as cut off.

    Among the options may be *facts*: what a vehicle is, not what its owner wishes. The questions that take
    `facts` (every option that is one, chosen or not) never propose to drop a fact or to add one that was
    not asked for, and no wish closes a fact.

    Raises InputErrors when the problem is not well formed.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._encoding = Encoding(problem)
        self._single = singles(self._encoding)
        self._start()
        _living.add(self)

    def __reduce__(self) -> tuple[Callable[..., Any], tuple[Problem]]:
        return Engine, (self.problem,)

    def _start(self) -> None:
        self._lock = threading.RLock()
        self._solver = self._encoding.solver()
        self._explainer: Explainer | None = None

    # -- questions -----------------------------------------------------------------------------

    def consistent(self, chosen: Ids) -> bool:
        """Return whether some whole valid build has all of `chosen`."""
        variables = self._variables(chosen)
        with self._lock:
            return bool(self._solver.solve(variables))

    def answer(
        self,
        chosen: Ids,
        want: str | None = None,
        costs: Mapping[str, Cost] | None = None,
        facts: Collection[str] = (),
    ) -> Answer:
        """Return the full answer to a selection in which every id stands.

        - `consistent`: some whole valid build has all of `chosen`.
        - `open`: some whole valid build has all of `chosen` and this option. So what is chosen or
          forced is open too.
        - `closed`: every other option. Beside an inconsistent selection nothing is open: all
          options are closed.
        - `forced`: every such build has it, and it is not chosen. None beside an inconsistent selection.
        - `why`: when inconsistent, why (whatever is wanted); else why `want` is closed; else None.
        - `change`: see `smallest_change`.
        """
        variables = self._variables(chosen)
        with self._lock:
            sweep = Sweep(self._solver, self._encoding.size, variables)
            if sweep.consistent:
                closed, forced = sweep.find_closed(), sweep.find_forced()
            else:
                closed, forced = set(range(1, self._encoding.size + 1)), set()
            opened = set(range(1, self._encoding.size + 1)) - closed
            return self._finish(sweep.consistent, forced, opened, variables, want, costs, facts)

    def page_answer(self, chosen: Ids, facts: Collection[str] = ()) -> Answer:
        """Return the answer for a page, where picking an option may replace another.

        As `answer`, but in a family that takes a single choice (one-of, or at most 1) an option is
        judged with that family's present choice set aside, unless that is a fact and the option is none.
        An inconsistent selection can therefore still show open options: those whose picking repairs it.
        A fact is judged beside the other facts alone: what is wished for never closes what is so.
        `why` and `change` are None; ask for them where they are shown.
        """
        variables = self._variables(chosen)
        told = set(self._variables(facts, "facts"))
        with self._lock:
            sweep = Sweep(self._solver, self._encoding.size, variables)
            opened, forced = set(), set()
            if sweep.consistent:
                opened = set(range(1, self._encoding.size + 1)) - sweep.find_closed()
                forced = sweep.find_forced()
            opened |= reopened(self._solver, self._single, opened, variables, told)
            opened -= told
            opened |= open_facts(self._solver, self._single, told, told.intersection(variables))
            closed = set(range(1, self._encoding.size + 1)) - opened
            ids = self._encoding.ids
            return Answer(sweep.consistent, ids(forced), ids(opened), ids(closed))

    def set_aside(self, chosen: Ids, want: str, facts: Collection[str] = ()) -> tuple[str, ...]:
        """Return `chosen` without what picking `want` replaces: its single-choice family's others.

        A wish replaces no fact; a fact replaces another, and no wish stands against it.
        """
        variables = set(self._variables(chosen))
        told = set(self._variables(facts, "facts"))
        (wanted,) = self._variables([want], "want")
        replaced = set(self._single.get(wanted, [])) - {wanted}
        if wanted in told:
            return self._encoding.ids(variables & told - replaced)
        return self._encoding.ids(variables - (replaced - told))

    def explain(self, chosen: Ids, want: str | None = None) -> Why | None:
        """Return why `chosen` is inconsistent, else why `want` is closed beside it, else None.

        The explanation is minimal, and of the minimal ones it has the fewest rules, then the fewest
        choices, then comes first in the order of the problem. `want` is never among its choices.
        Families always stand and are not listed: two choices of a one-of family explain by
        themselves. A search for reasons of two rules or more may be cut off; the answer then says what
        is not proved (see `explaining`).
        """
        variables = self._variables(chosen)
        base = self._variables([want], "want") if want is not None else []
        with self._lock:
            return self._explain(variables, base)

    def smallest_change(
        self,
        chosen: Ids,
        want: str | None = None,
        costs: Mapping[str, Cost] | None = None,
        facts: Collection[str] = (),
    ) -> Change | None:
        """Return the smallest change after which the selection has `want` and is consistent.

        After it, (`chosen` - `drop`) + `add` contains `want` and some whole valid build has all of it.
        Minimised, in this order: the number of choices dropped and options added; the sum of `costs`
        over them (a missing option costs 0; negative is allowed); the sorted ids of what is dropped.
        To add more than `want` never makes a selection consistent, so `add` is `want` alone, or empty
        when it is chosen already; the choices it then leaves stay with the customer. A search that is
        cut off gives a change that helps, marked as perhaps not the smallest (see `changing`).

        With `want` None it is the smallest repair of an inconsistent selection. None when nothing
        needs changing or no change helps. Chosen `facts` are not dropped.
        """
        variables = self._variables(chosen)
        base = self._variables([want], "want") if want is not None else []
        with self._lock:
            return self._change(variables, base, costs or {}, self._variables(facts, "facts"))

    # -- the same on variables, the lock being held -----------------------------------------------

    def _variables(self, ids: Ids, field: str = "chosen") -> list[int]:
        return self._encoding.variables(list(ids), field)

    def _finish(
        self,
        consistent: bool,
        forced: set[int],
        opened: set[int],
        variables: list[int],
        want: str | None,
        costs: Mapping[str, Cost] | None,
        facts: Collection[str],
    ) -> Answer:
        why = change = None
        base = self._variables([want], "want") if want is not None else []
        if not consistent or (base and base[0] not in opened):
            why = self._explain(variables, base)
            change = self._change(variables, base, costs or {}, self._variables(facts, "facts"))
        ids = self._encoding.ids
        closed = set(range(1, self._encoding.size + 1)) - opened
        return Answer(consistent, ids(forced), ids(opened), ids(closed), why, change)

    def _explain(self, variables: list[int], base: list[int]) -> Why | None:
        if self._explainer is None:
            self._explainer = Explainer(self._encoding)
        # The solver in which all rules stand tells faster which of the two is to be explained.
        if self._solver.solve(variables):
            if not base or self._solver.solve(sorted({*variables, *base})):
                return None
        else:
            base = []
        found = self._explainer.explain(base, variables)
        if found is None:  # pragma: no cover - the solver above has just refused it
            return None
        first = self._encoding.first_selector
        rules = tuple(self.problem.rules[member - first].id for member in found.members if member >= first)
        choices = self._encoding.ids([member for member in found.members if member < first])
        return Why(choices, rules, found.fewest_rules, found.minimal)

    def _change(
        self, variables: list[int], wanted: list[int], costs: Mapping[str, Cost], kept: list[int]
    ) -> Change | None:
        base = sorted({*kept}.intersection(variables).union(wanted))
        if self._solver.solve(sorted({*variables, *wanted})):
            return None
        names = self._encoding.names
        droppable = sorted((v for v in variables if v not in base), key=lambda v: names[v - 1])
        drop = smallest_drop(
            self._encoding, self._solver, base, {v: costs.get(names[v - 1], 0) for v in droppable}
        )
        if drop is None:
            return None
        add = set(wanted).difference(variables)
        return Change(self._encoding.ids(drop.variables), self._encoding.ids(add), drop.smallest)


_living: weakref.WeakSet[Engine] = weakref.WeakSet()


def _start_again() -> None:  # pragma: no cover - runs in a forked process, where coverage does not look
    """Give every engine its own lock and solvers in a forked process."""
    for engine in list(_living):
        engine._start()


if hasattr(os, "register_at_fork"):  # pragma: no branch - every system but Windows
    os.register_at_fork(after_in_child=_start_again)
