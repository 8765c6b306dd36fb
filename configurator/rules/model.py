"""The plain values the rule engine takes and gives: families, rules, answers.

An option id is any non-empty text that does not begin with ``!``. A literal is an option id, or
``!`` and an option id for "this option is not in the build".
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

Kind = Literal["one", "any", "at_most"]


@dataclass(frozen=True)
class Family:
    """Options that belong together.

    ``one``: a whole build has exactly one of them. ``any``: any number, also none. ``at_most``: no
    more than ``limit`` of them, also none.
    """

    id: str
    kind: Kind
    options: tuple[str, ...]
    limit: int | None = None
    name: str = ""


@dataclass(frozen=True)
class Rule:
    """When every literal of ``if_all`` holds, at least one of ``then_any`` must hold.

    An empty ``if_all`` always holds; an empty ``then_any`` never does, so the condition itself is
    impossible. ``reason`` is what a customer reads.
    """

    id: str
    if_all: tuple[str, ...]
    then_any: tuple[str, ...]
    reason: str = ""


@dataclass(frozen=True)
class Problem:
    """Everything the engine knows: the families with their options, and the rules over them."""

    families: tuple[Family, ...]
    rules: tuple[Rule, ...] = ()

    @property
    def options(self) -> tuple[str, ...]:
        """Return all option ids in the order of the families."""
        return tuple(option for family in self.families for option in family.options)

    def as_dict(self) -> dict[str, Any]:
        """Return the families and rules in the shape that `read_problem` reads."""
        families = [
            {"id": f.id, "kind": f.kind, "limit": f.limit, "options": list(f.options), "name": f.name}
            for f in self.families
        ]
        rules = [
            {"id": r.id, "if": list(r.if_all), "then_any": list(r.then_any), "reason": r.reason}
            for r in self.rules
        ]
        return {"families": families, "rules": rules}


@dataclass(frozen=True)
class Why:
    """A contradiction: the choices and the rules that together leave no valid build.

    Without any one member the contradiction is gone (``minimal``), and no explanation has fewer rules
    (``fewest_rules``). Either is False only where the search was cut off before it was proved (see
    `explaining`).
    """

    choices: tuple[str, ...]
    rules: tuple[str, ...]
    fewest_rules: bool = True
    minimal: bool = True

    def as_dict(self) -> dict[str, Any]:
        """Return it in ids; what is not proved is said, what is proved goes without saying."""
        found: dict[str, Any] = {"choices": list(self.choices), "rules": list(self.rules)}
        found |= {} if self.fewest_rules else {"fewest_rules": False}
        return found | ({} if self.minimal else {"minimal": False})


@dataclass(frozen=True)
class Change:
    """What to drop and what to add.

    ``smallest`` is False only where the search was cut off: the change helps and nothing of the drop could
    be kept, but another drop may be smaller (see `changing`).
    """

    drop: tuple[str, ...]
    add: tuple[str, ...]
    smallest: bool = True

    def as_dict(self) -> dict[str, Any]:
        """Return it in ids; where it is not proved to be the smallest, that is said."""
        found: dict[str, Any] = {"drop": list(self.drop), "add": list(self.add)}
        return found | ({} if self.smallest else {"smallest": False})


@dataclass(frozen=True)
class Answer:
    """The engine's answer to a selection; every tuple is in the order of the problem's options.

    `open` and `closed` split all options. See `Engine.answer` for what each word means.
    """

    consistent: bool
    forced: tuple[str, ...]
    open: tuple[str, ...]
    closed: tuple[str, ...]
    why: Why | None = None
    change: Change | None = None

    def as_dict(self) -> dict[str, Any]:
        """Return the answer as the `check_rules` command prints it."""
        return {
            "consistent": self.consistent,
            "forced": list(self.forced),
            "open": list(self.open),
            "closed": list(self.closed),
            "why": self.why.as_dict() if self.why else None,
            "change": self.change.as_dict() if self.change else None,
        }


def bare(literal: str) -> str:
    """Return the option that a literal speaks of."""
    return literal.removeprefix("!")


def _ids(one_or_more: str | Iterable[str]) -> tuple[str, ...]:
    return (one_or_more,) if isinstance(one_or_more, str) else tuple(one_or_more)


def _rule_id(verb: str, left: tuple[str, ...], right: tuple[str, ...]) -> str:
    return f"{'+'.join(left)} {verb} {'/'.join(right)}"


def needs(a: str | Iterable[str], one_of: str | Iterable[str], reason: str, *, id: str = "") -> Rule:
    """Return the rule "with all of `a` goes one of `one_of`"."""
    left, right = _ids(a), _ids(one_of)
    return Rule(id or _rule_id("needs", left, right), left, right, reason)


def excludes(a: str | Iterable[str], b: str | Iterable[str], reason: str, *, id: str = "") -> Rule:
    """Return the rule "all of `a` and all of `b` never go together"."""
    left, right = _ids(a), _ids(b)
    return Rule(id or _rule_id("excludes", left, right), left + right, (), reason)
