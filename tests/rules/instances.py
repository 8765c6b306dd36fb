"""Random small problems, and how many of them a run tries.

`KERBLINE_RULE_CASES` sets the number: a few hundred by default; 20000 before a release.
"""

import os
import random

from configurator.rules import Family, Problem, Rule

CASES = int(os.environ.get("KERBLINE_RULE_CASES", "300"))


def literal(rng: random.Random, names: list[str], positive: float) -> str:
    name = rng.choice(names)
    return name if rng.random() < positive else "!" + name


def random_problem(rng: random.Random, most: int = 14, rules: int = 12) -> Problem:
    """Return a problem of up to `most` options; families may be empty, rules may contradict each other."""
    count = rng.randint(1, most)
    names = [f"o{i}" for i in range(count)]
    rng.shuffle(names)
    families = []
    left = list(names)
    while left:
        size = rng.randint(1, min(6, len(left)))
        members, left = tuple(left[:size]), left[size:]
        kind = rng.choice(["one", "one", "any", "at_most"])
        limit = rng.randint(0 if rng.random() < 0.1 else 1, size + 1) if kind == "at_most" else None
        families.append(Family(f"f{len(families)}", kind, members, limit))
    if rng.random() < 0.05:
        families.append(Family("empty", rng.choice(["any", "at_most", "one"]), (), 1))
        families[-1] = Family("empty", families[-1].kind, (), 1 if families[-1].kind == "at_most" else None)
    return Problem(tuple(families), tuple(random_rule(rng, i, names) for i in range(rng.randint(0, rules))))


def random_rule(rng: random.Random, number: int, names: list[str]) -> Rule:
    """Return a rule of a random shape; now and then one that always or never holds."""
    conditions = rng.choice([0, 1, 1, 1, 2, 2, 3]) if rng.random() < 0.3 else rng.choice([1, 1, 2])
    results = rng.choice([0, 0, 1, 1, 2, 3])
    positive = rng.choice([1.0, 0.8, 0.5])
    if_all = tuple(literal(rng, names, positive) for _ in range(conditions))
    then_any = tuple(literal(rng, names, positive) for _ in range(results))
    return Rule(f"r{number}", if_all, then_any, f"Reason {number}")


def random_selection(rng: random.Random, problem: Problem) -> tuple[list[str], str | None]:
    names = list(problem.options)
    chosen = rng.sample(names, min(len(names), rng.choice([0, 1, 2, 2, 3, 4, 5])))
    return chosen, rng.choice([*names, None])
