"""From families and rules to clauses over whole numbers, as SAT solvers read them."""

from __future__ import annotations

from collections.abc import Iterable

from pysat.card import CardEnc, EncType

from .problem import Family, Problem, bare

PAIRWISE_UP_TO = 8


class Encoding:
    """Numbers for options (1 to n, in the problem's order) and the clauses of families and rules."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.options = problem.options
        self.number = {option: index for index, option in enumerate(self.options, start=1)}
        self.top = len(self.options)
        self.families = [clause for family in problem.families for clause in self._family(family)]
        self.rules = [
            [-self.literal(literal) for literal in rule.if_all]
            + [self.literal(literal) for literal in rule.then_any]
            for rule in problem.rules
        ]

    def literal(self, text: str) -> int:
        """Return the signed number of ``id`` or ``!id``."""
        number = self.number[bare(text)]
        return -number if text.startswith("!") else number

    def literals(self, chosen: Iterable[str]) -> list[int]:
        """Return the numbers of several options."""
        return [self.number[option] for option in chosen]

    def _family(self, family: Family) -> list[list[int]]:
        numbers = self.literals(family.options)
        if family.kind == "any":
            return []
        if family.kind == "one":
            return [numbers, *self._at_most(numbers, 1)]
        return self._at_most(numbers, family.limit or 0)

    def _at_most(self, numbers: list[int], limit: int) -> list[list[int]]:
        if limit >= len(numbers):
            return []
        if limit == 0:
            return [[-number] for number in numbers]
        pairs = limit == 1 and len(numbers) <= PAIRWISE_UP_TO
        kind = EncType.pairwise if pairs else EncType.seqcounter
        found = CardEnc.atmost(lits=numbers, bound=limit, top_id=self.top, encoding=kind)
        self.top = max(self.top, found.nv)
        return [list(clause) for clause in found.clauses]
