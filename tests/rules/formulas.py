"""Formulas of the literature as clauses, from their definitions: (variables, clauses), DIMACS numbers from 1.

Their answers are known from elsewhere, so that the rule engine is checked against theorems.
"""

import random
from itertools import combinations, permutations, product

import networkx as nx

Formula = tuple[int, list[list[int]]]


def exactly_one(literals: list[int]) -> list[list[int]]:
    """Return clauses that hold when just one of the literals does."""
    return [list(literals), *([-a, -b] for a, b in combinations(literals, 2))]


def random_cnf(width: int, variables: int, clauses: int, rng: random.Random) -> Formula:
    """Return clauses of ``width`` different variables each, all different."""
    found: set[tuple[int, ...]] = set()
    while len(found) < clauses:
        chosen = sorted(rng.sample(range(1, variables + 1), width))
        found.add(tuple(rng.choice((-1, 1)) * variable for variable in chosen))
    return variables, [list(clause) for clause in sorted(found)]


def random_parities(width: int, variables: int, sums: int, rng: random.Random) -> Formula:
    """Return sums modulo 2 of ``width`` variables each, every one as its 2^(width-1) clauses."""
    clauses = []
    for _ in range(sums):
        chosen, odd = rng.sample(range(1, variables + 1), width), rng.random() < 0.5
        for signs in product((0, 1), repeat=width):
            # A clause forbids one assignment; forbid those of the wrong parity.
            if sum(signs) % 2 != odd:
                clauses.append([-v if sign else v for v, sign in zip(chosen, signs, strict=True)])
    return variables, clauses


def colouring(graph: nx.Graph, colours: int) -> Formula:
    """Return whether the graph's vertices can be coloured so that neighbours differ."""
    at = {vertex: number for number, vertex in enumerate(graph)}

    def variable(vertex: object, colour: int) -> int:
        return at[vertex] * colours + colour + 1

    clauses = [clause for v in graph for clause in exactly_one([variable(v, c) for c in range(colours)])]
    clauses += [[-variable(a, c), -variable(b, c)] for a, b in graph.edges for c in range(colours)]
    return len(at) * colours, clauses


def dominating_set(graph: nx.Graph, size: int) -> Formula:
    """Return whether ``size`` vertices reach all others within one edge; a variable says who is the nth."""
    at = {vertex: number for number, vertex in enumerate(graph)}

    def variable(place: int, vertex: object) -> int:
        return place * len(at) + at[vertex] + 1

    clauses = [
        [-variable(place, a), -variable(place, b)] for place in range(size) for a, b in combinations(graph, 2)
    ]
    clauses += [
        [variable(place, near) for place in range(size) for near in (vertex, *graph[vertex])]
        for vertex in graph
    ]
    return size * len(at), clauses


def ramsey(red: int, blue: int, people: int) -> Formula:
    """Return whether a complete graph has a colouring without a red or a blue clique of these sizes."""
    edge = {pair: number for number, pair in enumerate(combinations(range(people), 2), 1)}
    clauses = [[-edge[pair] for pair in combinations(some, 2)] for some in combinations(range(people), red)]
    clauses += [[edge[pair] for pair in combinations(some, 2)] for some in combinations(range(people), blue)]
    return len(edge), clauses


def van_der_waerden(numbers: int, length: int) -> Formula:
    """Return whether 1 to ``numbers`` has a two-colouring without an even-spaced run of one colour."""
    runs = [
        range(start, start + length * step, step)
        for step in range(1, numbers)
        for start in range(1, numbers - (length - 1) * step + 1)
    ]
    return numbers, [[sign * number for number in run] for run in runs for sign in (1, -1)]


def pigeons(birds: int, holes: int) -> Formula:
    """Return whether every bird finds a hole of its own."""
    clauses = [[bird * holes + hole + 1 for hole in range(holes)] for bird in range(birds)]
    clauses += [
        [-(a * holes + hole + 1), -(b * holes + hole + 1)]
        for hole in range(holes)
        for a, b in combinations(range(birds), 2)
    ]
    return birds * holes, clauses


def order_without_least(things: int) -> Formula:
    """Return whether finitely many things can be ordered so that each has a smaller one."""
    less = {pair: number for number, pair in enumerate(permutations(range(things), 2), 1)}
    clauses = [[-less[a, b], -less[b, a]] for a, b in combinations(range(things), 2)]
    clauses += [[-less[a, b], -less[b, c], less[a, c]] for a, b, c in permutations(range(things), 3)]
    clauses += [[less[a, b] for a in range(things) if a != b] for b in range(things)]
    return len(less), clauses


def perfect_matching(graph: nx.Graph) -> Formula:
    """Return whether edges can be chosen so that each vertex lies on just one."""
    edge = {frozenset(pair): number for number, pair in enumerate(graph.edges, 1)}
    clauses = [c for v in graph for c in exactly_one([edge[frozenset((v, near))] for near in graph[v]])]
    return len(edge), clauses


def mutilated_board(side: int) -> Formula:
    """Return whether dominoes cover a board that has lost two opposite corners."""
    board = nx.grid_2d_graph(side, side)
    board.remove_nodes_from([(0, 0), (side - 1, side - 1)])
    return perfect_matching(board)
