"""What the literals of a catalogue's rules mean to the engine, tags written out.

``tag:word`` stands for "some option with that tag", so a rule with tags becomes as many engine rules as it
takes, exactly. Their ids are the rule's code with a number behind ``#``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product

from configurator.rules import Bring, Rule, bare

from . import models as m

MARK = "#"


def meanings(literal: str, tagged: dict[str, tuple[str, ...]], known: set[str]) -> tuple[str, ...]:
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
        options = meanings(literal, tagged, known)
        if literal.startswith("!"):
            always += [f"!{option}" for option in options]
        else:
            either.append(options)
    for picked in product(*either):
        yield (*dict.fromkeys((*picked, *always)),)


def rules_of(rules: list[m.Rule], tagged: dict[str, tuple[str, ...]], known: set[str]) -> Iterator[Rule]:
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
        options = meanings(literal, tagged, known)
        if not literal.startswith("!"):
            always += options
        elif not options:
            return  # "not" something that cannot be here is always so: the rule never matters
        else:
            each.append([f"!{option}" for option in options])
    for picked in product(*each):
        yield (*dict.fromkeys((*always, *picked)),)


def brings_of(rules: list[m.Rule], tagged: dict[str, tuple[str, ...]], known: set[str]) -> Iterator[Bring]:
    """Yield what rules bring, with tags written out."""
    for rule in rules:
        if rule.kind == m.Rule.Kind.BRINGS:
            for condition in _conditions(rule.if_all, tagged, known):
                yield Bring(rule.code, condition, tuple(rule.brings), rule.reason, rule.at_cost_of)
