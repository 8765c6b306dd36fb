"""The same questions put to other solvers, for comparison in speed and in what they answer."""

from ortools.sat.python import cp_model
from pysat.examples.rc2 import RC2
from pysat.formula import WCNF
from pysat.solvers import Minisat22, MinisatGH

from configurator.rules import Problem
from configurator.rules.encoding import Encoding


class OncePerOption:
    """A warm SAT solver asked once for every option."""

    def __init__(self, problem: Problem, solver: type = Minisat22) -> None:
        self.encoding = Encoding(problem)
        self.solver = solver(bootstrap_with=self.encoding.family_clauses + self.encoding.rule_clauses)

    def open(self, chosen: list[str]) -> set[str]:
        variables = self.encoding.variables(chosen)
        names = enumerate(self.encoding.names, 1)
        present = set(variables)
        return {
            name
            for variable, name in names
            if self.solver.solve(variables if variable in present else [*variables, variable])
        }


class OncePerOptionKeepingPhases(OncePerOption):
    """The same with the solver that the engine uses."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem, MinisatGH)


class CpSat:
    """CP-SAT of OR-Tools, a general constraint solver; untuned unless told how many workers to use.

    The model is its own translation, straight from families and rules.
    """

    def __init__(self, problem: Problem, workers: int = 0) -> None:
        self.model = cp_model.CpModel()
        self.var = {option: self.model.new_bool_var(option) for option in problem.options}
        for family in problem.families:
            members = [self.var[option] for option in family.options]
            if family.kind == "one":
                self.model.add_exactly_one(members)
            elif family.kind == "at_most":
                self.model.add(sum(members) <= (family.limit or 0))
        for rule in problem.rules:
            self.model.add_bool_or(
                [~self.literal(text) for text in rule.if_all] + [self.literal(text) for text in rule.then_any]
            )
        self.solver = cp_model.CpSolver()
        if workers:
            self.solver.parameters.num_workers = workers

    def literal(self, text: str):
        return ~self.var[text[1:]] if text.startswith("!") else self.var[text]

    def possible(self, literals: list[str]) -> bool:
        self.model.clear_assumptions()
        self.model.add_assumptions([self.literal(text) for text in literals])
        status = self.solver.solve(self.model)
        assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
        return status != cp_model.INFEASIBLE

    def open(self, chosen: list[str]) -> set[str]:
        return {option for option in self.var if self.possible(list({*chosen, option}))}


class MaxSat:
    """The library's MaxSAT solver asked for the fewest choices to drop."""

    def __init__(self, problem: Problem) -> None:
        self.encoding = Encoding(problem)

    def smallest_drop(self, chosen: list[str]) -> int:
        formula = WCNF()
        for clause in self.encoding.family_clauses + self.encoding.rule_clauses:
            formula.append(clause)
        for variable in self.encoding.variables(chosen):
            formula.append([variable], weight=1)
        with RC2(formula, adapt=True, exhaust=True, minz=True) as maxsat:
            maxsat.compute()
            return int(maxsat.cost)


def propagation_only(problem: Problem, chosen: list[str]) -> set[str]:
    """Return what unit propagation alone leaves open: too much as soon as rules have three members."""
    encoding = Encoding(problem)
    solver = encoding.solver()
    variables = encoding.variables(chosen)
    return {
        name
        for variable, name in enumerate(encoding.names, 1)
        if solver.propagate(sorted({*variables, variable}))[0]
    }
