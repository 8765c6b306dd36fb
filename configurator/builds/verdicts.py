"""What the rules make of a build: conflicts, what is still open and why not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from configurator.catalogue import selectors
from configurator.catalogue.models import Option
from configurator.rules import Change as EngineChange
from configurator.rules import Rule, Why, holds
from configurator.words import joined

from .asking import Asking, asking
from .brought import Brought, brought_by
from .build import Build
from .evaluation import Change, Conflict, OptionState
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


MOST_KEPT = 500


@dataclass(frozen=True)
class Judged:
    """The rules' answer to one build."""

    conflicts: tuple[Conflict, ...] = ()
    options: dict[str, OptionState] = field(default_factory=dict)
    brought: tuple[Brought, ...] = ()


def judge(build: Build, catalogue: Catalogue) -> Judged:
    """Answer everything that a page or a parts list asks of the rules."""
    ask = asking(build, catalogue)
    # Colours and finishes are nothing to the rules: what they say of the same choices is kept.
    conflicts, options = catalogue.once(
        "judged",
        (build.generation.code, *ask.real.items()),
        lambda: (tuple(_conflicts(ask)), _states(build, ask, catalogue)),
        most=MOST_KEPT,
    )
    return Judged(conflicts, dict(options), tuple(brought_by(build, ask)))


def _conflicts(ask: Asking) -> Iterable[Conflict]:
    """Yield the contradiction if there is one, else every rule that asks for something not chosen."""
    engine = ask.rules.engine
    why = engine.explain(ask.chosen)
    if why is not None:
        change = engine.smallest_change(ask.chosen, costs=ask.rules.costs, facts=ask.rules.facts)
        yield _conflict(ask, why, change)
        return
    have = set(ask.chosen)
    unmet: dict[tuple[str, tuple[str, ...]], list[Rule]] = {}
    for rule in engine.problem.rules:
        asked = all(holds(text, have) for text in rule.if_all)
        if asked and not any(holds(text, have) for text in rule.then_any):
            unmet.setdefault((ask.rules.rule_code(rule.id), rule.then_any), []).append(rule)
    for ways in unmet.values():
        yield _unmet(ask, ways)


def _conflict(ask: Asking, why: Why, change: EngineChange | None) -> Conflict:
    choices = ask.told(why.choices)
    return Conflict(
        choices=choices,
        choice_names=ask.names(choices),
        reasons=_reasons(ask, why),
        change=_change(ask, change) if change else None,
    )


def _reasons(ask: Asking, why: Why) -> tuple[str, ...]:
    """Return the rules' own words once each; a family's own limit is said when no rule is to blame."""
    codes = dict.fromkeys(ask.rules.rule_code(rule) for rule in why.rules)
    said = tuple(ask.rules.reasons[code] for code in codes)
    if said:
        return said
    return (say("only_one_of", names=list(ask.names(ask.told(why.choices)))),)


def _unmet(ask: Asking, ways: list[Rule]) -> Conflict:
    """Return what a rule still asks for, with the first option that is open as the change.

    ``ways`` are the same rule met in several ways, such as by the front and by the rear wheels. Where only
    a fact of the vehicle would meet it, the change gives up what asks for it: nobody is told to claim one.
    """
    is_open = set(ask.rules.engine.answer(ask.chosen).open) - ask.rules.facts
    wanted = next((text for text in ways[0].then_any if text in is_open), None)
    asked = dict.fromkeys(text for way in ways for text in way.if_all if not text.startswith("!"))
    choices = ask.told(asked)
    change = EngineChange((), (wanted,)) if wanted else _without(ask, ways)
    return Conflict(
        choices=choices,
        choice_names=ask.names(choices),
        reasons=(ways[0].reason,),
        change=_change(ask, change) if change else None,
    )


def _without(ask: Asking, ways: list[Rule]) -> EngineChange | None:
    """Return the change that gives up the cheapest wish of each way; None where facts alone ask."""
    drop: dict[str, None] = {}
    for way in ways:
        wishes = [text for text in way.if_all if not text.startswith("!") and text not in ask.rules.facts]
        if not wishes:
            return None
        if drop.keys().isdisjoint(wishes):
            drop[min(wishes, key=lambda wish: ask.rules.costs.get(wish, 0))] = None
    return EngineChange(tuple(drop), ())


def _change(ask: Asking, change: EngineChange, want: str = "") -> Change:
    """Put a change into words; no fact of the vehicle is part of one.

    ``want`` is the part that was asked for where another one stood for it.
    """
    drop = ask.told(change.drop)
    add = (want,) if want and change.add else change.add
    ways: dict[str, list[str]] = {"leave_out": list(drop), "take": [], "have_taken_off": []}
    for option in add:
        known = ask.catalogue.options.get(option)
        removed = known is not None and known.kind == Option.Kind.REMOVAL
        ways["have_taken_off" if removed else "take"].append(option)
    said = (say(way, names=list(ask.names(options))) for way, options in ways.items() if options)
    return Change(drop=drop, add=add, text=joined(said))


def _states(build: Build, ask: Asking, catalogue: Catalogue) -> dict[str, OptionState]:
    """Return the state of every option offered for this vehicle; a closed one says why."""
    answer = ask.rules.engine.page_answer(ask.chosen, ask.rules.facts)
    have, forced = set(ask.chosen), set(answer.forced)
    # What the vehicle has is a fact: no wish closes it, a clash is told where the wish stands.
    is_open = set(answer.open) | ask.rules.facts
    states = {}
    for option in selectors.options_for(catalogue, build.generation):
        code = option.code
        if code in have:
            states[code] = OptionState(id=code, state="chosen")
        elif code in is_open:
            states[code] = OptionState(id=code, state="forced" if code in forced else "open")
        else:
            states[code] = _closed(ask, code)
    return states | _closed_parts(ask, set(answer.closed) - set(states))


def _closed_parts(ask: Asking, closed: set[str]) -> dict[str, OptionState]:
    """Return the wheels, tyres and spacers that a rule closes; of the rest the fit speaks.

    The engine is asked once for all the parts that one stands for.
    """
    reasons: dict[str, tuple[tuple[str, ...], EngineChange | None]] = {}
    found = {}
    for part, stand_in in ask.rules.alike.items() if closed else ():
        if stand_in in closed:
            if stand_in not in reasons:
                reasons[stand_in] = _why_closed(ask, stand_in)
            found[part] = _closed_state(ask, part, *reasons[stand_in])
    return found


def _closed(ask: Asking, option: str) -> OptionState:
    return _closed_state(ask, option, *_why_closed(ask, option))


def _why_closed(ask: Asking, option: str) -> tuple[tuple[str, ...], EngineChange | None]:
    """Return the reasons against an option and the smallest change that opens it, without any fact."""
    engine, facts = ask.rules.engine, ask.rules.facts
    # Picking it would replace its family's present choice, which is therefore no reason against it.
    why = engine.explain(engine.set_aside(ask.chosen, option, facts), option)
    is_fact = option in facts
    change = None if is_fact else engine.smallest_change(ask.chosen, option, ask.rules.costs, facts)
    return _reasons(ask, why) if why else (), change


def _closed_state(
    ask: Asking, option: str, reasons: tuple[str, ...], change: EngineChange | None
) -> OptionState:
    opened = _change(ask, change, want=option) if change else None
    return OptionState(id=option, state="closed", reasons=reasons, change=opened)
