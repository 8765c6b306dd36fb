"""Why a selection contradicts itself: a minimal set of choices and rules, with the fewest rules.

Every rule has a selector and every choice is an assumption, so a core names both. Families are the
ground that they stand on and are never named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pysat.examples.hitman import Hitman
from pysat.solvers import Solver

from .encoding import Encoding

MOST_ROUNDS = 400


@dataclass(frozen=True)
class Why:
    """A minimal contradiction: without any one of its members it is gone."""

    choices: tuple[str, ...]
    rules: tuple[str, ...]

    def as_dict(self) -> dict[str, list[str]]:
        """Return the contract's form."""
        return {"choices": list(self.choices), "rules": list(self.rules)}


class Explainer:
    """A warm solver in which rules can be switched off."""

    def __init__(self, encoding: Encoding) -> None:
        self._encoding = encoding
        first = encoding.top + 1
        self._selectors = list(range(first, first + len(encoding.rules)))
        self._solver: Any = Solver(name="g4", bootstrap_with=encoding.families)
        for selector, clause in zip(self._selectors, encoding.rules, strict=True):
            self._solver.add_clause([-selector, *clause])
        self._rule_of = dict(zip(self._selectors, encoding.problem.rules, strict=True))

    def why(self, choices: Sequence[int], ground: Sequence[int] = ()) -> Why | None:
        """Return why ``choices`` contradict with ``ground`` given, or None when they do not.

        Among the minimal contradictions one with the fewest rules is found, by hitting the correction
        sets met so far; after ``MOST_ROUNDS`` rounds the best one found stands, minimal all the same.
        """
        members = [*choices, *self._selectors]
        core = self._core(members, ground)
        if core is None:
            return None
        best = self._minimal(core, ground)
        if len(self._rules(best)) > 1:
            best = self._fewest_rules(best, members, ground)
        return self._named(best)

    def _core(self, members: Sequence[int], ground: Sequence[int]) -> list[int] | None:
        if self._solver.solve(assumptions=[*ground, *members]):
            return None
        given = set(ground)
        return [member for member in self._solver.get_core() or [] if member not in given]

    def _minimal(self, core: list[int], ground: Sequence[int]) -> list[int]:
        """Drop rules first, then choices, as long as the contradiction stays."""
        kept = sorted(core, reverse=True)
        for member in list(kept):
            if member not in kept:
                continue
            smaller = self._core([other for other in kept if other != member], ground)
            if smaller is not None:
                kept = [other for other in kept if other in smaller]
        return kept

    def _rules(self, members: Sequence[int]) -> list[int]:
        return [member for member in members if member in self._rule_of]

    def _fewest_rules(self, best: list[int], members: Sequence[int], ground: Sequence[int]) -> list[int]:
        """Look for a contradiction with fewer rules than ``best``, choices being free.

        The smallest set of rules that hits every correction set bounds every contradiction from below;
        once it contradicts by itself it is the answer.
        """
        choices = [member for member in members if member not in self._rule_of]
        with Hitman(solver="g4", htype="sorted") as hitman:
            for _ in range(MOST_ROUNDS):
                rules = list(hitman.get() or [])
                if len(rules) >= len(self._rules(best)):
                    return best
                core = self._core([*choices, *rules], ground)
                if core is not None:
                    return self._minimal(core, ground)
                hitman.hit(self._correction(choices, rules, ground))
        return best

    def _correction(self, choices: Sequence[int], rules: list[int], ground: Sequence[int]) -> list[int]:
        """Grow the rules while all goes together; return those that had to stay out."""
        inside = list(rules)
        outside = []
        for selector in self._selectors:
            if selector in inside:
                continue
            if self._solver.solve(assumptions=[*ground, *choices, *inside, selector]):
                inside.append(selector)
            else:
                outside.append(selector)
        return outside

    def _named(self, members: Sequence[int]) -> Why:
        options = self._encoding.options
        choices = sorted(member for member in members if member not in self._rule_of)
        rules = sorted(self._rules(members))
        return Why(
            tuple(options[number - 1] for number in choices), tuple(self._rule_of[s].id for s in rules)
        )
