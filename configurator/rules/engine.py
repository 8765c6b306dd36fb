"""The engine: exact answers to a partial selection, kept warm between questions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from threading import Lock
from typing import Any

from pysat.solvers import Solver

from .change import Change, smallest_change
from .encoding import Encoding
from .explanation import Explainer, Why
from .problem import Problem
from .states import split_open

Costs = Mapping[str, Decimal | float]


@dataclass(frozen=True)
class Answer:
    """What can be said of a partial selection; lists are in the problem's order.

    ``open``: some whole valid build holds this option and everything chosen (the chosen ones count).
    ``closed``: no such build; every option is one or the other. ``forced``: every such build holds it
    though it was not chosen. When the choices contradict each other nothing is open or forced.
    """

    consistent: bool
    forced: tuple[str, ...]
    open: tuple[str, ...]
    closed: tuple[str, ...]
    why: Why | None = None
    change: Change | None = None

    def as_dict(self) -> dict[str, Any]:
        """Return the command contract's form."""
        return {
            "consistent": self.consistent,
            "forced": list(self.forced),
            "open": list(self.open),
            "closed": list(self.closed),
            "why": self.why and self.why.as_dict(),
            "change": self.change and self.change.as_dict(),
        }


class Engine:
    """Answers questions about one problem. Safe to share between threads: one question at a time."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._encoding = Encoding(problem)
        self._all = range(1, len(self._encoding.options) + 1)
        self._solver: Any = Solver(
            name="g4", bootstrap_with=[*self._encoding.families, *self._encoding.rules]
        )
        # A model must speak of every option, also of one that no family or rule restricts.
        self._solver.add_clause([self._encoding.top + 1, *self._all])
        self._explainer = Explainer(self._encoding)
        self._lock = Lock()

    def consistent(self, chosen: Iterable[str]) -> bool:
        """Whether the choices can be completed to a whole valid build."""
        with self._lock:
            return bool(self._solver.solve(assumptions=self._encoding.literals(chosen)))

    def answer(self, chosen: Iterable[str], want: str | None = None, costs: Costs | None = None) -> Answer:
        """Return the whole answer; ``why`` and ``change`` speak of a contradiction or a closed ``want``."""
        chosen = list(dict.fromkeys(chosen))
        with self._lock:
            found = split_open(self._solver, self._encoding.literals(chosen), self._all)
        seen, forced = found if found else (set(), set())
        closed = want is not None and self._encoding.number[want] not in seen
        why = change = None
        if found is None or closed:
            why = self.explain(chosen, want)
            change = self.smallest_change(chosen, want, costs)
        return Answer(
            consistent=found is not None,
            forced=self._named(forced - set(self._encoding.literals(chosen))),
            open=self._named(seen),
            closed=self._named(set(self._all) - seen),
            why=why,
            change=change,
        )

    def page_answer(self, chosen: Iterable[str]) -> Answer:
        """Answer as a page needs it: where one choice at most is allowed, the present one is set aside.

        Picking another option of such a family replaces the present choice, so each option there is
        judged against the choices made elsewhere.
        """
        chosen = list(dict.fromkeys(chosen))
        whole = self.answer(chosen)
        is_open = set(whole.open)
        for family in self.problem.families:
            mine = set(family.options) & set(chosen)
            single = family.kind == "one" or (family.kind == "at_most" and family.limit == 1)
            if not single or not mine:
                continue
            rest = [option for option in chosen if option not in mine]
            with self._lock:
                found = split_open(
                    self._solver, self._encoding.literals(rest), self._encoding.literals(family.options)
                )
            is_open |= set(self._named(found[0])) if found else set()
        every = self._encoding.options
        return Answer(
            consistent=whole.consistent,
            forced=whole.forced,
            open=tuple(option for option in every if option in is_open),
            closed=tuple(option for option in every if option not in is_open),
            why=whole.why,
            change=whole.change,
        )

    def explain(self, chosen: Iterable[str], want: str | None = None) -> Why | None:
        """Return why the choices contradict each other or, when they do not, why ``want`` is closed."""
        choices = self._encoding.literals(dict.fromkeys(chosen))
        with self._lock:
            why = self._explainer.why(choices)
            if why is None and want is not None:
                why = self._explainer.why(choices, [self._encoding.number[want]])
        return why

    def smallest_change(
        self,
        chosen: Iterable[str],
        want: str | None = None,
        costs: Costs | None = None,
        fixed: Iterable[str] = (),
    ) -> Change | None:
        """Return the smallest change that makes the choices, with ``want`` if given, possible.

        ``fixed`` names those of the choices that cannot be dropped.
        """
        wanted = None if want is None else self._encoding.number[want]
        choices = self._encoding.literals(dict.fromkeys(chosen))
        kept = self._encoding.literals(dict.fromkeys(fixed))
        with self._lock:
            return smallest_change(self._encoding, self._solver, choices, wanted, costs, kept)

    def _named(self, numbers: set[int]) -> tuple[str, ...]:
        return tuple(self._encoding.options[number - 1] for number in sorted(numbers))
