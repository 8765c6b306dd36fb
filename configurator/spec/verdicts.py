"""What the rules make of a build: conflicts, what is still open and why not, and what comes along."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from configurator.catalogue import ruleset, selectors
from configurator.catalogue.literals import PART_KINDS, part_code
from configurator.rules import Bring, Rule, Why, bare, brought
from configurator.rules import Change as EngineChange

from .evaluation import Change, Conflict, OptionState
from .resolve import Build
from .work import JOB

if TYPE_CHECKING:
    from configurator.catalogue.ruleset import Ruleset
    from configurator.catalogue.snapshot import Catalogue


@dataclass(frozen=True)
class Brought:
    """One item that a rule brings along, for which choices and at whose cost."""

    item: str
    quantity: Decimal
    choices: tuple[str, ...]
    reason: str
    at_cost_of: str


@dataclass(frozen=True)
class Judged:
    """The rules' answer to one build."""

    conflicts: tuple[Conflict, ...] = ()
    options: dict[str, OptionState] = field(default_factory=dict)
    brought: tuple[Brought, ...] = ()


def judge(build: Build, catalogue: Catalogue) -> Judged:
    """Answer everything that a page or a parts list asks of the rules."""
    rules = ruleset.for_generation(catalogue, build.generation)
    chosen = chosen_ids(build, rules)
    return Judged(
        conflicts=tuple(_conflicts(rules, chosen)),
        options=_states(build, rules, catalogue, chosen),
        brought=tuple(_brought(build, rules, chosen)),
    )


def chosen_ids(build: Build, rules: Ruleset) -> list[str]:
    """Return every choice and fact under the id that rules know it by; unknown parts are left out."""
    ids = [*build.facts, *(chosen.option.code for chosen in build.options)]
    for row in build.axles:
        for kind in PART_KINDS:
            part = getattr(row, kind)
            ids.append(part_code(row.position, kind, part.code if part else None))
    return [option for option in ids if rules.knows(option)]


def _conflicts(rules: Ruleset, chosen: list[str]) -> Iterable[Conflict]:
    """Yield the contradiction if there is one, else every rule that asks for something not chosen."""
    why = rules.engine.explain(chosen)
    if why is not None:
        fixed = [option for option in chosen if option in rules.facts]
        yield _conflict(rules, why, rules.engine.smallest_change(chosen, costs=rules.costs, fixed=fixed))
        return
    have = set(chosen)
    unmet: dict[tuple[str, tuple[str, ...]], list[Rule]] = {}
    for rule in rules.engine.problem.rules:
        if _holds(rule.if_all, have) and not any(_holds((text,), have) for text in rule.then_any):
            unmet.setdefault((rules.rule_code(rule.id), rule.then_any), []).append(rule)
    for ways in unmet.values():
        yield _unmet(rules, ways, chosen)


def _holds(literals: Iterable[str], have: set[str]) -> bool:
    return all((bare(text) in have) != text.startswith("!") for text in literals)


def _conflict(rules: Ruleset, why: Why, change: EngineChange | None) -> Conflict:
    return Conflict(
        choices=why.choices,
        choice_names=tuple(rules.names[option] for option in why.choices),
        reasons=_reasons(rules, why),
        change=_change(rules, change) if change else None,
    )


def _reasons(rules: Ruleset, why: Why) -> tuple[str, ...]:
    """Return the rules' own words once each; a family's own limit is said when no rule is to blame."""
    codes = dict.fromkeys(rules.rule_code(rule) for rule in why.rules)
    said = tuple(rules.reasons[code] for code in codes)
    if said:
        return said
    return (f"Only one of these can be chosen: {', '.join(rules.names[o] for o in why.choices)}.",)


def _unmet(rules: Ruleset, ways: list[Rule], chosen: list[str]) -> Conflict:
    """Return what a rule still asks for, with the first option that is open as the change.

    ``ways`` are the same rule met in several ways, such as by the front and by the rear wheels.
    """
    is_open = set(rules.engine.answer(chosen).open)
    wanted = next((text for text in ways[0].then_any if text in is_open), None)
    change = _change(rules, EngineChange((), (wanted,))) if wanted else None
    choices = tuple(dict.fromkeys(text for way in ways for text in way.if_all if not text.startswith("!")))
    return Conflict(
        choices=choices,
        choice_names=tuple(rules.names[option] for option in choices),
        reasons=(ways[0].reason,),
        change=change,
    )


def _change(rules: Ruleset, change: EngineChange) -> Change:
    """Put a change into words; a fact of the vehicle is said, not taken."""
    drop = ", ".join(rules.names[option] for option in change.drop)
    take = ", ".join(rules.names[option] for option in change.add if option not in rules.facts)
    facts = ", ".join(rules.names[option] for option in change.add if option in rules.facts)
    said = [
        f"give up {drop}" if drop else "",
        f"take {take}" if take else "",
        f"say that your vehicle has: {facts}" if facts else "",
    ]
    text = " and ".join(part for part in said if part)
    return Change(drop=change.drop, add=change.add, text=text[:1].upper() + text[1:])


def _states(build: Build, rules: Ruleset, catalogue: Catalogue, chosen: list[str]) -> dict[str, OptionState]:
    """Return the state of every option offered for this vehicle; a closed one says why."""
    answer = rules.engine.page_answer(chosen)
    have, is_open, forced = set(chosen), set(answer.open), set(answer.forced)
    states = {}
    for option in selectors.options_for(catalogue, build.generation):
        code = option.code
        if code in have:
            states[code] = OptionState(id=code, state="chosen")
        elif code in is_open:
            states[code] = OptionState(id=code, state="forced" if code in forced else "open")
        else:
            states[code] = _closed(rules, chosen, code)
    # Of wheels, tyres and spacers only those that a rule closes: the fit speaks for the rest.
    parts = (option for option in answer.closed if option in rules.names and option not in catalogue.options)
    return states | {part: _closed(rules, chosen, part) for part in parts}


def _closed(rules: Ruleset, chosen: list[str], code: str) -> OptionState:
    # Picking it would replace its family's present choice, which is therefore no reason against it.
    why = rules.engine.explain(rules.engine.set_aside(chosen, code), code)
    fixed = [option for option in chosen if option in rules.facts] if code not in rules.facts else []
    change = rules.engine.smallest_change(chosen, code, costs=rules.costs, fixed=fixed)
    return OptionState(
        id=code,
        state="closed",
        reasons=_reasons(rules, why) if why else (),
        change=_change(rules, change) if change else None,
    )


def _brought(build: Build, rules: Ruleset, chosen: list[str]) -> Iterable[Brought]:
    """Yield what comes along; a rule whose condition holds in several ways brings once."""
    ways: dict[str, list[Bring]] = {}
    for bring in brought(rules.brings, chosen):
        ways.setdefault(bring.id, []).append(bring)
    for bring_ways in ways.values():
        first = bring_ways[0]
        because = dict.fromkeys(text for way in bring_ways for text in way.if_all if not text.startswith("!"))
        for row in first.items:
            quantity = _counted(row, build, bring_ways) * Decimal(str(row["quantity"]))
            yield Brought(row["item"], quantity, tuple(because) or (JOB,), first.reason, first.at_cost_of)


def _counted(row: dict[str, Any], build: Build, ways: list[Bring]) -> int:
    """Return how many times a brought quantity is wanted."""
    if row.get("basis") == "wheel":
        return sum(axle.axle.wheels for axle in build.axles if axle.wheel or axle.tyre)
    if row.get("basis") == "choice":
        return len(ways)
    return 1
