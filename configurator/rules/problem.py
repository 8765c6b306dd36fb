"""Families, rules and what they bring: the problem as plain frozen data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

FamilyKind = Literal["one", "any", "at_most"]


@dataclass(frozen=True)
class Family:
    """Options that answer one question: exactly one of them, any, or at most ``limit``."""

    id: str
    kind: FamilyKind
    options: tuple[str, ...]
    limit: int | None = None
    name: str = ""


@dataclass(frozen=True)
class Rule:
    """If all of ``if_all`` then some of ``then_any``; nothing in ``then_any`` means impossible.

    A literal is an option's id, or ``!id`` for "not chosen".
    """

    id: str
    if_all: tuple[str, ...]
    then_any: tuple[str, ...]
    reason: str = ""


@dataclass(frozen=True)
class Bring:
    """If all of ``if_all`` then ``items`` come along; the engine does not look into them."""

    id: str
    if_all: tuple[str, ...]
    items: tuple[Any, ...]
    reason: str = ""
    at_cost_of: str = "customer"


@dataclass(frozen=True)
class Problem:
    """Everything an engine needs. An option belongs to exactly one family."""

    families: tuple[Family, ...]
    rules: tuple[Rule, ...] = ()

    @property
    def options(self) -> tuple[str, ...]:
        """Every option in the families' order."""
        return tuple(option for family in self.families for option in family.options)


def bare(literal: str) -> str:
    """Return the option that a literal speaks of."""
    return literal[1:] if literal.startswith("!") else literal


def needs(rule_id: str, option: str, one_of: Iterable[str], reason: str) -> Rule:
    """Return the rule that ``option`` needs one of the others."""
    return Rule(rule_id, (option,), tuple(one_of), reason)


def excludes(rule_id: str, options: Sequence[str], reason: str) -> Rule:
    """Return the rule that these do not go together."""
    return Rule(rule_id, tuple(options), (), reason)


def brought(brings: Iterable[Bring], chosen: Iterable[str]) -> tuple[Bring, ...]:
    """Return what comes along with these choices; what is not chosen counts as not so."""
    have = set(chosen)
    return tuple(bring for bring in brings if all(_holds(literal, have) for literal in bring.if_all))


def _holds(literal: str, have: set[str]) -> bool:
    return (bare(literal) in have) != literal.startswith("!")
