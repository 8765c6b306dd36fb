"""Instances from outside as problems, and a constraint solver from another library to answer them.

The solver (CP-SAT of OR-Tools) reads the clauses themselves, not the problem made from them.
"""

import random

from ortools.sat.python import cp_model

from configurator.rules import Family, Problem, Rule

Clauses = list[list[int]]


def to_problem(variables: int, clauses: Clauses, rng: random.Random) -> Problem:
    """Return the same as families of any-of options and one rule for each clause.

    Each literal of a clause goes, negated, into the rule's condition or as it is into its consequence.
    """
    names = [f"x{i}" for i in range(1, variables + 1)]
    families, left = [], list(names)
    while left:
        size = rng.randint(1, 9)
        families.append(Family(f"f{len(families)}", "any", tuple(left[:size])))
        left = left[size:]
    rules = []
    for i, clause in enumerate(clauses):
        condition = [literal for literal in clause if rng.random() < 0.5]
        if_all = tuple(_text(-literal) for literal in condition)
        then_any = tuple(_text(literal) for literal in clause if literal not in condition)
        rules.append(Rule(f"c{i}", if_all, then_any, f"Clause {i}"))
    return Problem(tuple(families), tuple(rules))


def _text(literal: int) -> str:
    return f"x{literal}" if literal > 0 else f"!x{-literal}"


class Outside:
    """CP-SAT on DIMACS clauses; `variables` are numbers from 1."""

    def __init__(self, variables: int, clauses: Clauses) -> None:
        self.variables = variables
        self.clauses = clauses

    def _model(self, true: set[int], clauses: list[int] | None = None):
        model = cp_model.CpModel()
        x = {i: model.new_bool_var(str(i)) for i in range(1, self.variables + 1)}
        for i in range(len(self.clauses)) if clauses is None else clauses:
            model.add_bool_or([x[v] if v > 0 else ~x[-v] for v in self.clauses[i]])
        for v in true:
            model.add(x[v] == 1)
        return model, x

    def _solve(self, model) -> cp_model.CpSolver | None:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        status = solver.solve(model)
        assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
        return None if status == cp_model.INFEASIBLE else solver

    def possible(self, true: set[int], clauses: list[int] | None = None) -> bool:
        """Return whether all `true` go together with these clauses (all of them unless told)."""
        return self._solve(self._model(true, clauses)[0]) is not None

    def possible_without(self, true: set[int], false: int) -> bool:
        model, x = self._model(true)
        model.add(x[false] == 0)
        return self._solve(model) is not None

    def fewest_dropped(self, chosen: set[int], must: set[int]) -> int | None:
        """Return how many of `chosen` have to go so that the rest and `must` are possible."""
        model, x = self._model(must)
        model.minimize(sum(1 - x[v] for v in chosen))
        solver = self._solve(model)
        return None if solver is None else round(solver.objective_value)
