"""The engine on instances from outside, against solvers from other libraries and published numbers.

Instances: formulas of the literature by their definitions (`formulas`) on graphs from NetworkX.
Independent solvers: CP-SAT of OR-Tools, and python-constraint2.
"""

import random

import constraint
import networkx as nx
import pytest

from configurator.rules import Engine, Family, Problem, Rule

from . import formulas
from .outside import Outside, to_problem


def instance(formula: formulas.Formula, seed: int = 0) -> tuple[Engine, Outside]:
    variables, clauses = formula
    return Engine(to_problem(variables, clauses, random.Random(seed))), Outside(variables, clauses)


def named(variables) -> set[str]:
    return {f"x{v}" for v in variables}


def numbers(ids) -> set[int]:
    return {int(id[1:]) for id in ids}


def generated(kind: str, seed: int) -> formulas.Formula:
    rng = random.Random(seed)
    if kind == "random 3-CNF, few clauses":
        return formulas.random_cnf(3, 24, 72, rng)
    if kind == "random 3-CNF near the threshold":
        return formulas.random_cnf(3, 18, 76, rng)
    if kind == "colouring":
        return formulas.colouring(nx.gnp_random_graph(8, 0.4, seed=seed), 3)
    if kind == "dominating set":
        return formulas.dominating_set(nx.gnp_random_graph(8, 0.35, seed=seed), 3)
    return formulas.random_parities(3, 14, 11, rng)


KINDS = [
    "random 3-CNF, few clauses",
    "random 3-CNF near the threshold",
    "colouring",
    "dominating set",
    "parity",
]


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("kind", KINDS)
def test_answers_equal_another_solvers(kind, seed):
    engine, outside = instance(generated(kind, seed), seed)
    rng = random.Random(seed)
    every = range(1, outside.variables + 1)
    for size in (0, 2, 5):
        chosen = set(rng.sample(every, size))
        want = rng.choice(every)
        answer = engine.answer(named(chosen), f"x{want}")
        assert answer.consistent == outside.possible(chosen)
        opened = {v for v in every if outside.possible(chosen | {v})}
        assert numbers(answer.open) == opened
        if answer.consistent:
            forced = {v for v in opened - chosen if not outside.possible_without(chosen, v)}
            assert numbers(answer.forced) == forced
        check_why(answer, outside, chosen, want)
        check_change(answer, outside, chosen, want)


def check_why(answer, outside, chosen, want):
    if answer.why is None:
        assert outside.possible(chosen | {want})
        return
    base = {want} if answer.consistent else set()
    choices, rules = numbers(answer.why.choices), [int(rule[1:]) for rule in answer.why.rules]
    assert choices <= chosen
    assert not outside.possible(choices | base, rules)
    for choice in choices:
        assert outside.possible((choices - {choice}) | base, rules)
    for rule in rules:
        assert outside.possible(choices | base, [other for other in rules if other != rule])


def check_change(answer, outside, chosen, want):
    fewest = outside.fewest_dropped(chosen - {want}, {want})
    if not fewest:
        assert answer.change is None
        return
    assert len(answer.change.drop) == fewest
    assert outside.possible((chosen - numbers(answer.change.drop)) | {want})


# Published values, each with its source.
PUBLISHED = [
    # Greenwood and Gleason 1955, Combinatorial relations and chromatic graphs: R(3,3) = 6
    ("R(3,3) > 5", lambda: formulas.ramsey(3, 3, 5), True),
    ("R(3,3) <= 6", lambda: formulas.ramsey(3, 3, 6), False),
    # van der Waerden 1927; Chvátal 1970, Some unknown van der Waerden numbers: W(3,3) = 9
    ("W(3,3) > 8", lambda: formulas.van_der_waerden(8, 3), True),
    ("W(3,3) <= 9", lambda: formulas.van_der_waerden(9, 3), False),
    # Haken 1985, The intractability of resolution: pigeons and holes
    ("4 pigeons, 4 holes", lambda: formulas.pigeons(4, 4), True),
    ("5 pigeons, 4 holes", lambda: formulas.pigeons(5, 4), False),
    # Krishnamurthy 1985, Short proofs for tricky formulas: a finite order has a least element
    ("ordering principle", lambda: formulas.order_without_least(4), False),
    # Gomory 1973: a board without two opposite corners cannot be tiled with dominoes
    ("mutilated board", lambda: formulas.mutilated_board(4), False),
    # Tutte 1947: the complete graph on an odd number of vertices has no perfect matching
    ("matching of 5", lambda: formulas.perfect_matching(nx.complete_graph(5)), False),
    ("matching of 6", lambda: formulas.perfect_matching(nx.complete_graph(6)), True),
]


@pytest.mark.parametrize(
    ("make", "possible"), [row[1:] for row in PUBLISHED], ids=[row[0] for row in PUBLISHED]
)
def test_published_numbers(make, possible):
    engine, outside = instance(make())
    answer = engine.answer([])
    assert answer.consistent is possible
    assert bool(answer.open) is possible
    check_why(answer, outside, set(), 1)


def test_every_rule_of_a_minimally_contradictory_set_is_in_its_explanation():
    """The pigeonhole clauses are minimally unsatisfiable (Handbook of Satisfiability, from memory)."""
    engine, outside = instance(formulas.pigeons(4, 3))
    why = engine.explain([])
    assert len(why.rules) == len(outside.clauses) == 4 + 3 * 6
    assert why.fewest_rules


GRAPHS = {
    # name: (graph, chromatic number); Bondy and Murty, Graph Theory, 2008
    "Petersen": (nx.petersen_graph(), 3),
    "odd cycle": (nx.cycle_graph(7), 3),
    "even cycle": (nx.cycle_graph(8), 2),
    "complete": (nx.complete_graph(4), 4),
    "Grötzsch": (nx.mycielski_graph(4), 4),
    "cube": (nx.hypercube_graph(3), 2),
    "wheel": (nx.wheel_graph(6), 4),
}


def colouring(graph: nx.Graph, colours: int) -> Problem:
    """Return a one-of family for each vertex, and for each edge and colour a rule that excludes."""
    vertex = {v: i for i, v in enumerate(graph)}
    families = [Family(f"v{i}", "one", tuple(f"{i}:{c}" for c in range(colours))) for i in vertex.values()]
    rules = [
        Rule(
            f"{vertex[a]}-{vertex[b]}:{c}", (f"{vertex[a]}:{c}", f"{vertex[b]}:{c}"), (), "Neighbours differ"
        )
        for a, b in graph.edges
        for c in range(colours)
    ]
    return Problem(tuple(families), tuple(rules))


@pytest.mark.parametrize("name", GRAPHS)
def test_chromatic_numbers(name):
    graph, number = GRAPHS[name]
    assert Engine(colouring(graph, number)).consistent([])
    assert not Engine(colouring(graph, number - 1)).consistent([])


@pytest.mark.parametrize("seed", range(6))
def test_colourings_equal_constraint_solver(seed):
    rng = random.Random(seed)
    graph = nx.gnp_random_graph(7, 0.5, seed=seed)
    engine = Engine(colouring(graph, 3))
    solver = constraint.Problem()
    solver.addVariables(list(graph), range(3))
    for a, b in graph.edges:
        solver.addConstraint(constraint.AllDifferentConstraint(), (a, b))
    solutions = [{f"{v}:{c}" for v, c in found.items()} for found in solver.getSolutions()]
    for size in (0, 1, 2, 3):
        chosen = {f"{v}:{rng.randrange(3)}" for v in rng.sample(list(graph), size)}
        left = [found for found in solutions if chosen <= found]
        answer = engine.answer(chosen)
        assert answer.consistent == bool(left)
        assert set(answer.open) == set().union(*left)
        assert set(answer.forced) == (set.intersection(*left) - chosen if left else set())
