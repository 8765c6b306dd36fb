"""Made-up rule sets of four shapes and any size, the same on every run.

`pairs`: every rule joins two options. `a third needs one of three`: two pair rules, then one "needs
one of three", and so on. `dense`: rules of two to four members, all on one half of the options. Rules
are kept only when a few random builds satisfy them, so that every rule set has valid builds and
selections can be drawn from them. The fourth shape is the demonstration catalogue's (see `test_ratios`).
"""

import random
from dataclasses import dataclass

from configurator.rules import Engine, Family, Problem, Rule

BUILDS = 3
SHAPES = ("pairs", "a third needs one of three", "dense")


@dataclass(frozen=True)
class RuleSet:
    shape: str
    problem: Problem
    builds: tuple[frozenset[str], ...]

    def selections(self, count: int, size: int, seed: int = 0) -> list[list[str]]:
        """Return selections of `size` options, each part of one of the builds."""
        rng = random.Random(seed)
        picked = [sorted(rng.choice(self.builds)) for _ in range(count)]
        return [rng.sample(build, min(size, len(build))) for build in picked]


def _families(rng: random.Random, options: int, families: int) -> list[Family]:
    """Three in five one-of, a quarter any-of, the rest at most two."""
    members: list[list[str]] = [[] for _ in range(families)]
    for i in range(options):
        members[i if i < families else rng.randrange(families)].append(f"o{i}")
    found = []
    for i, names in enumerate(members):
        kind = "one" if i < families * 0.6 else "any" if i < families * 0.85 else "at_most"
        found.append(Family(f"f{i}", kind, tuple(names), 2 if kind == "at_most" else None))
    return found


def _build(rng: random.Random, families: list[Family]) -> frozenset[str]:
    build: set[str] = set()
    for family in families:
        if family.kind == "one":
            build.add(rng.choice(family.options))
        elif family.kind == "any":
            build |= {option for option in family.options if rng.random() < 0.3}
        else:
            build |= set(rng.sample(family.options, min(2, len(family.options))))
    return frozenset(build)


def _members(rng: random.Random, shape: str, number: int, names: list[str]) -> tuple[list[str], list[str]]:
    """Return the condition and the consequence of the next rule."""
    if shape == "dense":
        first, *rest = rng.sample(names[: len(names) // 2], rng.choice([2, 3, 3, 4]))
        signs = [rng.random() < 0.6 for _ in rest]
        joined = [name for name, sign in zip(rest, signs, strict=True) if sign]
        return [first, *joined], [name for name in rest if name not in joined]
    if shape == SHAPES[1] and number % 3 == 0:
        first, *rest = rng.sample(names, 4)
        return [first], rest
    first, second = rng.sample(names, 2)
    return ([first, second], []) if rng.random() < 0.5 else ([first], [second])


def rule_set(shape: str, options: int = 300, families: int = 40, rules: int = 400, seed: int = 0) -> RuleSet:
    rng = random.Random(f"{shape} {options} {seed}")
    made = _families(rng, options, families)
    builds = tuple(_build(rng, made) for _ in range(BUILDS))
    names = [option for family in made for option in family.options]
    rng.shuffle(names)
    kept: list[Rule] = []
    while len(kept) < rules:
        if_all, then_any = _members(rng, shape, len(kept), names)
        if all(not build.issuperset(if_all) or not build.isdisjoint(then_any) for build in builds):
            kept.append(Rule(f"r{len(kept)}", tuple(if_all), tuple(then_any), f"Reason {len(kept)}"))
    return RuleSet(shape, Problem(tuple(made), tuple(kept)), builds)


def from_problem(shape: str, problem: Problem, engine: Engine | None = None, seed: int = 0) -> RuleSet:
    """Return a rule set for a problem from elsewhere, such as a catalogue, with builds picked at random.

    Builds grow by picking open options at random until every option is chosen or closed.
    """
    rng = random.Random(seed)
    engine = engine or Engine(problem)
    builds = []
    for _ in range(3):
        chosen: list[str] = []
        while True:
            free = [option for option in engine.answer(chosen).open if option not in chosen]
            if not free or len(chosen) >= 60:
                break
            chosen.append(rng.choice(free))
        builds.append(frozenset(chosen))
    return RuleSet(shape, problem, tuple(builds))
