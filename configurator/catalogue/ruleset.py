"""The catalogue's rules for one generation, as the engine wants them, kept warm per catalogue version.

Tags are written out: ``tag:word`` stands for "some option with that tag", so a rule with tags becomes as
many engine rules as it takes, exactly. Their ids are the rule's code with a number behind ``#``.

Wheels, tyres and spacers of which the rules say the same are interchangeable to the engine, so one of them
stands for all: the engine stays as small as the rules are, however many parts the catalogue holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import product
from threading import Lock

from configurator.rules import Bring, Engine, Family, Problem, Rule, bare

from . import models as m
from . import selectors
from .literals import POSITIONS, part_code, spacer_tags, tyre_tags, wheel_tags
from .snapshot import Catalogue

MARK = "#"


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
_cached: dict[tuple[int, str, str], Ruleset] = {}


def for_generation(catalogue: Catalogue, generation: m.Generation) -> Ruleset:
    """Return the generation's ruleset, built once per process and catalogue version."""
    key = (catalogue.version, catalogue.digest, generation.code)
    found = _cached.get(key)
    if found is None:
        with _lock:
            if len(_cached) > 4 * max(len(catalogue.generations), 8):
                _cached.clear()
            found = _cached.setdefault(key, build(catalogue, generation, fold=True))
    return found


def build(catalogue: Catalogue, generation: m.Generation, *, fold: bool = False) -> Ruleset:
    """Make the ruleset of one generation from the catalogue; ``fold`` lets one part stand for its like."""
    rules = [rule for rule in catalogue.rules.values() if rule.active and _applies(rule, generation)]
    options = list(_option_families(catalogue, generation))
    parts = list(_part_families(catalogue, generation))
    tags = _tags(catalogue, generation)
    alike = {option: option for family in options for option in family.options}
    alike |= _stand_ins(parts, tags, rules) if fold else {o: o for family in parts for o in family.options}
    families = [*options, *(_folded(family, alike) for family in parts)]
    tagged = {tag: tuple(dict.fromkeys(alike[option] for option in tagged)) for tag, tagged in tags.items()}
    known = set(alike.values())
    facts = catalogue.options.items()
    return Ruleset(
        engine=Engine(Problem(tuple(families), tuple(_rules(rules, tagged, known)))),
        brings=tuple(_brings(rules, tagged, known)),
        tagged=tagged,
        reasons={rule.code: rule.reason for rule in rules},
        names=_names(catalogue, set(alike)),
        costs=_costs(catalogue, set(alike)),
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


def _option_families(catalogue: Catalogue, generation: m.Generation) -> Iterator[Family]:
    for family, options in selectors.families_for(catalogue, generation):
        codes = tuple(option.code for option in options)
        yield Family(family.code, family.kind, codes, family.limit, family.name)  # type: ignore[arg-type]


def _axle_parts(catalogue: Catalogue, axle: m.Axle) -> dict[str, list[str]]:
    """Return the codes of the parts worth choosing on an axle, by kind."""
    return {
        "wheel": [wheel.code for wheel in selectors.wheels_for(catalogue, axle)],
        "tyre": [tyre.code for tyre in selectors.tyres_for(catalogue, axle.generation)],
        "spacer": [spacer.code for spacer in selectors.spacers_for(catalogue, axle)],
    }


def _axles(catalogue: Catalogue, generation: m.Generation) -> Iterator[m.Axle]:
    found = (catalogue.axles.get((generation.code, position)) for position in POSITIONS)
    return (axle for axle in found if axle is not None)


def _part_families(catalogue: Catalogue, generation: m.Generation) -> Iterator[Family]:
    for axle in _axles(catalogue, generation):
        for kind, codes in _axle_parts(catalogue, axle).items():
            options = (part_code(axle.position, kind, code) for code in (None, *codes))
            yield Family(f"{axle.position}-{kind}", "one", tuple(options), None, f"{axle.position} {kind}")


def _tags(catalogue: Catalogue, generation: m.Generation) -> dict[str, list[str]]:
    tagged: dict[str, list[str]] = {}
    for option in selectors.options_for(catalogue, generation):
        for tag in option.tags:
            tagged.setdefault(tag, []).append(option.code)
    for axle in _axles(catalogue, generation):
        for kind, codes in _axle_parts(catalogue, axle).items():
            for code in codes:
                literal = part_code(axle.position, kind, code)
                for tag in _part_tags(catalogue, kind, code):
                    tagged.setdefault(tag, []).append(literal)
                    tagged.setdefault(f"{axle.position}-{tag}", []).append(literal)
    return tagged


def _part_tags(catalogue: Catalogue, kind: str, code: str) -> tuple[str, ...]:
    if kind == "wheel":
        wheel = catalogue.wheels[code]
        return wheel_tags(wheel.finish.code, wheel.diameter_in, wheel.width_in)
    if kind == "tyre":
        return tyre_tags(catalogue.tyres[code].designation)
    spacer = catalogue.spacers[code]
    return spacer_tags(spacer.kind, spacer.thickness_mm)


def _meanings(literal: str, tagged: dict[str, tuple[str, ...]], known: set[str]) -> tuple[str, ...]:
    """Return the options a literal speaks of here; none when this generation has no such option."""
    name = bare(literal)
    if name.startswith("tag:"):
        return tagged.get(name.removeprefix("tag:"), ())
    return (name,) if name in known else ()


def _conditions(
    literals: Iterable[str], tagged: dict[str, tuple[str, ...]], known: set[str]
) -> Iterator[tuple[str, ...]]:
    """Yield the plain conjunctions that together say the same as one with tags.

    "Some option with the tag" splits into one conjunction per option; "none with the tag" adds them all.
    """
    always: list[str] = []
    either: list[tuple[str, ...]] = []
    for literal in literals:
        options = _meanings(literal, tagged, known)
        if literal.startswith("!"):
            always += [f"!{option}" for option in options]
        else:
            either.append(options)
    for picked in product(*either):
        yield (*dict.fromkeys((*picked, *always)),)


def _rules(rules: list[m.Rule], tagged: dict[str, tuple[str, ...]], known: set[str]) -> Iterator[Rule]:
    """Yield engine rules; "none with the tag" as a consequence splits into one rule per option."""
    for rule in rules:
        if rule.kind == m.Rule.Kind.BRINGS:
            continue
        number = 0
        for condition in _conditions(rule.if_all, tagged, known):
            for consequence in _consequences(rule.then_any, tagged, known):
                number += 1
                yield Rule(f"{rule.code}{MARK}{number}", condition, consequence, rule.reason)


def _consequences(
    literals: Iterable[str], tagged: dict[str, tuple[str, ...]], known: set[str]
) -> Iterator[tuple[str, ...]]:
    always: list[str] = []
    each: list[list[str]] = []
    for literal in literals:
        options = _meanings(literal, tagged, known)
        if not literal.startswith("!"):
            always += options
        elif not options:
            return  # "not" something that cannot be here is always so: the rule never matters
        else:
            each.append([f"!{option}" for option in options])
    for picked in product(*each):
        yield (*dict.fromkeys((*always, *picked)),)


def _brings(rules: list[m.Rule], tagged: dict[str, tuple[str, ...]], known: set[str]) -> Iterator[Bring]:
    for rule in rules:
        if rule.kind == m.Rule.Kind.BRINGS:
            for condition in _conditions(rule.if_all, tagged, known):
                yield Bring(rule.code, condition, tuple(rule.brings), rule.reason, rule.at_cost_of)


def _costs(catalogue: Catalogue, known: set[str]) -> dict[str, Decimal]:
    """Return what each option's parts cost, so that of two equal changes the cheaper one is proposed."""
    costs = {}
    for name in known:
        option = catalogue.options.get(name)
        if option is not None:
            costs[name] = option.item.unit_price * option.item_quantity if option.item else Decimal(0)
        elif (item := catalogue.items.get(name.partition(":")[2])) is not None:
            costs[name] = item.unit_price
    return costs


def _names(catalogue: Catalogue, known: set[str]) -> dict[str, str]:
    """Return a name for people for every option that the engine has."""
    names = {}
    for option in known:
        position, _, rest = option.partition("-")
        kind, colon, code = rest.partition(":")
        if not colon:
            names[option] = catalogue.options[option].name
        elif code in ("original", "none"):
            names[option] = f"no {position} {kind}" if code == "none" else f"the original {position} {kind}"
        else:
            names[option] = f"{catalogue.items[code].name}, {position}"
    return names
