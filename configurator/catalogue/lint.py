"""What is wrong with the catalogue's rules, over all generations, in the words of the catalogue.

The engine looks at one generation at a time; here an option counts as impossible when no generation that
offers it allows it, and a rule as idle when it changes nothing for any generation. Blocking findings are
contradictions: such a catalogue does not go live.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from django.utils.translation import gettext as _

from configurator import rules as engine

from . import models as m
from . import ruleset, selectors, snapshot, wholeness
from .lint_words import LintRow, unknown_words, untranslated
from .ruleset import Ruleset
from .snapshot import Catalogue
from .sources import Finding

Rulesets = dict[str, Ruleset]


def lint(catalogue: Catalogue) -> list[LintRow]:
    """Return everything found, blocking findings first."""
    rulesets = _rulesets(catalogue)
    answers = {code: _of_generation(catalogue, code, rules) for code, rules in rulesets.items()}
    found = [*unknown_words(catalogue), *contradictions(catalogue, rulesets)]
    found += [row for rows in answers.values() for row in rows if row.kind in PER_GENERATION]
    found += [*_never_chosen(rulesets, answers), *_never_matters(catalogue, rulesets, answers)]
    found += untranslated(catalogue)
    return sorted(found, key=lambda row: (not row.blocking, row.kind, row.subject, row.generation))


def blocking(catalogue: Catalogue) -> list[LintRow]:
    """Return only what must keep a catalogue from going live, which is quick to find."""
    unknown = [row for row in unknown_words(catalogue) if row.blocking]
    return unknown or list(contradictions(catalogue, _rulesets(catalogue)))


def of_tables() -> list[LintRow]:
    """Return the blocking findings of the tables as they stand, within the caller's transaction."""
    return blocking(snapshot.tables())


def before_load() -> Iterable[Finding]:
    """Return the blocking findings of the tables as findings of a load."""
    catalogue = snapshot.tables()
    found = blocking(catalogue)
    yield from () if found else wholeness.findings(catalogue)
    for row in found:
        yield Finding("generations.csv" if row.generation else "rules.toml", 0, row.subject, row.message)


def contradictions(catalogue: Catalogue, rulesets: Rulesets) -> Iterator[LintRow]:
    """Yield the generations without any valid build, with what their vehicles usually have."""
    for code, rules in rulesets.items():
        facts = [fact for fact in catalogue.generations[code].facts if rules.knows(fact)]
        why = rules.engine.explain(facts)
        if why is not None:
            said = " ".join(dict.fromkeys(rules.reasons[rules.rule_code(rule)] for rule in why.rules))
            message = f"No build of {catalogue.generations[code]} is valid. {said}".strip()
            yield LintRow("no_valid_build", code, message, True, code)


def _rulesets(catalogue: Catalogue) -> Rulesets:
    return {code: ruleset.build(catalogue, one) for code, one in catalogue.generations.items()}


PER_GENERATION = ("malformed", "one_possible_option")


def _of_generation(catalogue: Catalogue, code: str, rules: Ruleset) -> list[LintRow]:
    """Return the engine's findings for one generation, in the catalogue's words."""
    generation = catalogue.generations[code]
    found = engine.lint(rules.engine.problem, {code: fixed_facts(catalogue, generation)})
    return [
        LintRow(one.kind, one.subject, _message(one, rules, generation), one.blocking, code)
        for one in found
        if not (one.kind == "one_possible_option" and _is_told(catalogue, one.subject))
    ]


def fixed_facts(catalogue: Catalogue, generation: m.Generation) -> tuple[str, ...]:
    """Return the facts that a customer cannot state otherwise: those without an alternative."""
    families = {family.code: options for family, options in selectors.families_for(catalogue, generation)}
    return tuple(
        code
        for code in generation.facts
        if (option := catalogue.options.get(code))
        and (option.family.kind != m.Family.Kind.ONE or len(families.get(option.family.code, ())) < 2)
    )


def _is_told(catalogue: Catalogue, family: str) -> bool:
    """Whether the family only says what the vehicle is, or is an axle's; one answer is then no loss."""
    options = [option for option in catalogue.options.values() if option.family.code == family]
    return all(option.kind == m.Option.Kind.FACT for option in options)


def _message(one: engine.Finding, rules: Ruleset, generation: m.Generation) -> str:
    """Say it with names; the engine speaks in codes."""
    reasons = dict.fromkeys(rules.reasons.get(rules.rule_code(rule), "") for rule in one.rules)
    said = " ".join(reason for reason in reasons if reason)
    if one.kind == "never_chosen":
        name = rules.names.get(one.subject, one.subject)
        return f"{name} can never be chosen for {generation}. {said}".strip()
    if one.kind == "never_matters" and said:
        return f"Other rules say the same already: {said}"
    if one.kind == "never_matters":
        return _("Nothing that can be chosen ever breaks it.")
    if one.kind == "one_possible_option":
        family = next(family for family in rules.engine.problem.families if family.id == one.subject)
        only = ", ".join(rules.names.get(option, option) for option in one.choices)
        return f"{family.name or family.id} leaves no choice: only {only} is possible. ({generation})"
    return f"{one.subject}: {one.detail} ({generation})"


Answers = dict[str, list[LintRow]]


def _never_chosen(rulesets: Rulesets, answers: Answers) -> Iterator[LintRow]:
    """Yield the options and parts that no generation which offers them allows."""
    impossible = {
        (row.generation, row.subject): row
        for rows in answers.values()
        for row in rows
        if row.kind == "never_chosen"
    }
    offered: dict[str, list[str]] = {}
    for code, rules in rulesets.items():
        for option in rules.names:
            offered.setdefault(option, []).append(code)
    for option, codes in offered.items():
        if all((code, option) in impossible for code in codes):
            yield replace(impossible[codes[0], option], generation=codes[0] if len(codes) == 1 else "")


def _never_matters(catalogue: Catalogue, rulesets: Rulesets, answers: Answers) -> Iterator[LintRow]:
    """Yield the rules of which nothing matters for any generation."""
    idle = {
        (row.generation, row.subject): row
        for rows in answers.values()
        for row in rows
        if row.kind == "never_matters"
    }
    places: dict[str, list[tuple[str, str]]] = {}
    for code, rules in rulesets.items():
        ids = [rule.id for rule in rules.engine.problem.rules] + [bring.id for bring in rules.brings]
        for one in ids:
            places.setdefault(rules.rule_code(one), []).append((code, one))
    for code in (code for code, row in catalogue.rules.items() if row.active):
        if code not in places:
            yield LintRow(
                "never_matters", code, _("It speaks of nothing that any vehicle is offered."), False
            )
        elif all(place in idle for place in places[code]):
            yield LintRow("never_matters", code, idle[places[code][0]].message, False)
