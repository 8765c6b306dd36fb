"""The catalogue's rules for one generation, as the engine wants them, kept warm as long as the catalogue.

Wheels, tyres and spacers of which the rules say the same are interchangeable to the engine, so one of them
stands for all: the engine stays as small as the rules are, however many parts the catalogue holds.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from decimal import Decimal
from threading import Lock

from configurator.rules import Bring, Engine, Family, Problem, bare

from . import models as m
from .rule_literals import MARK, brings_of, rules_of
from .rule_parts import costs_of, names_of, option_families, part_families, tags_of
from .snapshot import Catalogue


@dataclass(frozen=True)
class Ruleset:
    """One generation's engine, what its rules bring, and the words that go with them.

    ``tagged`` maps a tag to the engine's options that carry it; ``reasons`` a rule's code to its reason.
    ``alike`` maps every option and part to the one that stands for it in the engine; ``names`` and
    ``costs`` speak of every one of them.
    """

    engine: Engine
    brings: tuple[Bring, ...]
    tagged: dict[str, tuple[str, ...]]
    reasons: dict[str, str]
    names: dict[str, str] = field(default_factory=dict)
    facts: frozenset[str] = frozenset()
    costs: dict[str, Decimal] = field(default_factory=dict)
    alike: dict[str, str] = field(default_factory=dict)

    def rule_code(self, engine_rule: str) -> str:
        """Return the catalogue's code of a rule that the engine names."""
        return engine_rule.split(MARK)[0]

    def knows(self, option: str) -> bool:
        """Whether the engine has this option, or one that stands for it."""
        return option in self.alike


_lock = Lock()


def for_generation(catalogue: Catalogue, generation: m.Generation) -> Ruleset:
    """Return the generation's ruleset, built once for the catalogue that was read."""
    kept = catalogue.kept("rulesets", most=4 * max(len(catalogue.generations), 8))
    if generation.code not in kept:
        with _lock:
            if generation.code not in kept:
                kept[generation.code] = build(catalogue, generation, fold=True)
    found: Ruleset = kept[generation.code]
    return found


def build(catalogue: Catalogue, generation: m.Generation, *, fold: bool = False) -> Ruleset:
    """Make the ruleset of one generation from the catalogue; ``fold`` lets one part stand for its like."""
    rules = [rule for rule in catalogue.rules.values() if rule.active and _applies(rule, generation)]
    options = list(option_families(catalogue, generation))
    parts = list(part_families(catalogue, generation))
    tags = tags_of(catalogue, generation)
    alike = {option: option for family in options for option in family.options}
    alike |= _stand_ins(parts, tags, rules) if fold else {o: o for family in parts for o in family.options}
    families = [*options, *(_folded(family, alike) for family in parts)]
    tagged = {tag: tuple(dict.fromkeys(alike[option] for option in tagged)) for tag, tagged in tags.items()}
    known = set(alike.values())
    facts = catalogue.options.items()
    return Ruleset(
        engine=Engine(Problem(tuple(families), tuple(rules_of(rules, tagged, known)))),
        brings=tuple(brings_of(rules, tagged, known)),
        tagged=tagged,
        reasons={rule.code: rule.reason for rule in rules},
        names=names_of(catalogue, set(alike)),
        costs=costs_of(catalogue, set(alike)),
        facts=frozenset(
            code for code, option in facts if option.kind == m.Option.Kind.FACT and code in known
        ),
        alike=alike,
    )


def _stand_ins(parts: list[Family], tags: dict[str, list[str]], rules: list[m.Rule]) -> dict[str, str]:
    """Return for every part the first of its family of which the rules say the same.

    The rules tell parts apart by naming them or a tag of theirs; parts that they cannot tell apart
    swap places in every valid build, so an answer about one is the answer about the other.
    """
    named = {bare(text) for rule in rules for text in (*rule.if_all, *rule.then_any)}
    told_by: dict[str, list[str]] = {}
    for tag, options in tags.items():
        if f"tag:{tag}" in named:
            for option in options:
                told_by.setdefault(option, []).append(tag)
    found: dict[str, str] = {}
    for family in parts:
        first: dict[tuple[str, ...], str] = {}
        for option in family.options:
            alone = option in named or option.endswith((":original", ":none"))
            signature = (option,) if alone else ("", *told_by.get(option, ()))
            found[option] = first.setdefault(signature, option)
    return found


def _folded(family: Family, alike: dict[str, str]) -> Family:
    return replace(family, options=tuple(dict.fromkeys(alike[option] for option in family.options)))


def _applies(rule: m.Rule, generation: m.Generation) -> bool:
    made_for = rule.generations.all()
    return not made_for or any(other.pk == generation.pk for other in made_for)
