"""Turns families and rules into clauses for a SAT solver.

Option number i (in the order of the families) is variable i + 1; selector variables for the rules
and helper variables of the cardinality encodings come after the options.

Solver, chosen by measurement (`python -m tests.benchmarks.rules.bench`): MiniSat (GitHub version) of
python-sat. Of the solvers there that offer `propagate`, it is the one that keeps the phases it is
given, and the sweep over all open options lives on that: it is four to ten times faster than with
the others, which overwrite the phases while searching.
"""

from itertools import combinations
from math import comb

from pysat.card import CardEnc, EncType
from pysat.solvers import MinisatGH

from configurator.json_input import InputErrors

from .model import Family, Problem, Rule
from .reading import problem_errors

Clause = list[int]

# Up to this many clauses the encoding without helper variables is smaller and propagates best.
PLAIN_CLAUSES = 400


def at_most_clauses(literals: list[int], limit: int, top: int) -> tuple[list[Clause], int]:
    """Return clauses for "at most `limit` of the literals" and the highest variable then in use.

    Binomial encoding while it is small; else the sequential counter (Sinz 2005) for small limits and
    the modulo totalizer (Ogawa and others 2013) for large ones: measured on families of 100 to 1,000
    options, it answers ten times faster there than sorting and cardinality networks.
    """
    if limit >= len(literals):
        return [], top
    if comb(len(literals), limit + 1) <= PLAIN_CLAUSES:
        return [[-x for x in group] for group in combinations(literals, limit + 1)], top
    encoding = EncType.seqcounter if limit <= 8 else EncType.mtotalizer
    cnf = CardEnc.atmost(lits=literals, bound=limit, top_id=top, encoding=encoding)
    return cnf.clauses, max(top, cnf.nv)


class Encoding:
    """A problem as clauses: `family_clauses` and, one for each rule, `rule_clauses`."""

    def __init__(self, problem: Problem) -> None:
        errors = problem_errors(problem)
        if errors:
            raise InputErrors(errors)
        self.problem = problem
        self.names = problem.options
        self.size = len(self.names)
        self.variable = {name: i + 1 for i, name in enumerate(self.names)}
        self.rule_clauses = [self._rule_clause(rule) for rule in problem.rules]
        self.first_selector = self.size + 1
        self.top = self.size + len(problem.rules)
        self.family_clauses: list[Clause] = []
        # The families that take a limited number: their variables and the limit.
        self.limits: list[tuple[list[int], int]] = []
        # Options that every build has as its one-of family has no other, and whether one has none at all.
        self.always: set[int] = set()
        self.impossible = False
        for family in problem.families:
            self._encode_family(family)

    def _encode_family(self, family: Family) -> None:
        variables = [self.variable[option] for option in family.options]
        if family.kind == "any":
            return
        if family.kind == "one":
            self.family_clauses.append(variables)
            self.impossible |= not variables
            self.always |= set(variables) if len(variables) == 1 else set()
        limit = 1 if family.kind == "one" else family.limit or 0
        self.limits.append((variables, limit))
        clauses, self.top = at_most_clauses(variables, limit, self.top)
        self.family_clauses += clauses

    def literal(self, text: str) -> int:
        return -self.variable[text[1:]] if text.startswith("!") else self.variable[text]

    def _rule_clause(self, rule: Rule) -> Clause:
        literals = [-self.literal(text) for text in rule.if_all]
        literals += [self.literal(text) for text in rule.then_any]
        return list(dict.fromkeys(literals))

    def variables(self, ids: tuple[str, ...] | list[str], field: str = "chosen") -> list[int]:
        """Return the variables of option ids, sorted and each once; InputErrors for unknown ids."""
        unknown = [
            {"field": f"{field}[{i}]", "message": f"No family has an option {id!a}."}
            for i, id in enumerate(ids)
            if id not in self.variable
        ]
        if unknown:
            raise InputErrors(unknown)
        return sorted({self.variable[id] for id in ids})

    def ids(self, variables: list[int] | set[int]) -> tuple[str, ...]:
        """Return the option ids of variables, in the order of the problem."""
        return tuple(self.names[variable - 1] for variable in sorted(variables))

    def solver(self) -> MinisatGH:
        """Return a solver in which every rule stands."""
        return MinisatGH(bootstrap_with=self.family_clauses + self.rule_clauses)

    def solver_with_selectors(self) -> MinisatGH:
        """Return a solver in which rule j stands only while `first_selector` + j is assumed."""
        guarded = [[-(self.first_selector + j), *clause] for j, clause in enumerate(self.rule_clauses)]
        solver = MinisatGH(bootstrap_with=self.family_clauses + guarded)
        # Models that keep as many rules as they can save calls when explanations are sought.
        solver.set_phases(list(range(self.first_selector, self.first_selector + len(guarded))))
        return solver
