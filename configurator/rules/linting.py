"""Finds what is wrong with a catalogue's rules before a customer does."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from .encoding import Encoding
from .engine import Engine
from .minimal import minimal
from .model import Problem, Rule, Why, bare
from .reading import problem_errors

ANYWHERE = ""


@dataclass(frozen=True)
class Finding:
    """One thing found, in ids. `blocking` ones are contradictions: such a catalogue must not go live.

    `kind` is one of: ``unknown_option`` (a rule or a generation names `choices`, an option that no family
    has), ``malformed`` (an id twice, a limit missing ...: `detail` says it), ``no_valid_build`` (of the whole
    catalogue, or of the generation `subject`), ``never_chosen`` (an option), ``never_matters`` (a rule;
    `rules` are those that imply it, none when the families alone do), ``one_possible_option`` (a family, with
    the one in `choices`). `subject` is the id the finding is about; else `choices` and `rules` are a minimal
    explanation; `generation` says for which generation's facts it holds, empty for the catalogue as a whole.
    """

    kind: str
    subject: str
    blocking: bool = False
    choices: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    generation: str = ANYWHERE
    detail: str = ""


class _Lint:
    def __init__(self, problem: Problem, generations: Mapping[str, tuple[str, ...]]) -> None:
        self.problem = problem
        self.engine = Engine(problem)
        self.sound = {name: facts for name, facts in generations.items() if self.engine.consistent(facts)}
        self.unsound = {name: facts for name, facts in generations.items() if name not in self.sound}
        self.anything_valid = self.engine.consistent(())

    def contradictions(self) -> Iterator[Finding]:
        if not self.anything_valid:
            why = self.engine.explain(()) or Why((), ())
            yield Finding("no_valid_build", ANYWHERE, True, why.choices, why.rules)
            return
        for name, facts in self.unsound.items():
            why = self.engine.explain(facts) or Why((), ())
            yield Finding("no_valid_build", name, True, why.choices, why.rules, name)

    def possible(self) -> set[str]:
        """Return the options of some valid build of some generation, or of any build without generations."""
        facts = list(self.sound.values()) or [()]
        return {option for chosen in facts for option in self.engine.answer(chosen).open}

    def never_chosen(self, possible: set[str]) -> Iterator[Finding]:
        facts = next(iter(self.sound.values()), ())
        first = next(iter(self.sound), ANYWHERE)
        for option in self.problem.options:
            if option in possible:
                continue
            why, where = self.engine.explain((), option), ANYWHERE
            if why is None:
                why, where = self.engine.explain(facts, option) or Why((), ()), first
            yield Finding("never_chosen", option, False, why.choices, why.rules, where)

    def one_possible(self, possible: set[str]) -> Iterator[Finding]:
        for family in self.problem.families:
            left = [option for option in family.options if option in possible]
            if family.kind == "one" and len(left) == 1:
                yield Finding("one_possible_option", family.id, choices=tuple(left))

    def never_matters(self) -> Iterator[Finding]:
        for rule, others in implied_rules(self.problem):
            yield Finding("never_matters", rule.id, rules=others)


def implied_rules(problem: Problem) -> Iterator[tuple[Rule, tuple[str, ...]]]:
    """Yield each rule that the others imply, with a minimal set of rules that do so.

    Two equal rules are each implied by the other: one of them may go, not both.
    """
    encoding = Encoding(problem)
    solver = encoding.solver_with_selectors()
    first = encoding.first_selector
    selectors = list(range(first, first + len(problem.rules)))
    for j, clause in enumerate(encoding.rule_clauses):
        violated = [-literal for literal in clause]
        if any(-literal in clause for literal in clause):
            yield problem.rules[j], ()
            continue
        needed = selectors[:j] + selectors[j + 1 :]
        if solver.solve(violated + needed):
            continue

        def contradict(some: list[int], violated: list[int] = violated) -> list[int] | None:
            if solver.solve(violated + some):
                return None
            return sorted(set(solver.get_core() or []).intersection(some))

        needed = minimal(sorted(set(solver.get_core() or []).intersection(needed)), contradict)
        yield problem.rules[j], tuple(problem.rules[selector - first].id for selector in needed)


def _unknown_options(
    problem: Problem, generations: Mapping[str, tuple[str, ...]]
) -> tuple[list[Finding], Problem, dict[str, tuple[str, ...]]]:
    """Return what names unknown options, and the problem and the generations without it."""
    options = set(problem.options)
    found = []
    rules = []
    for rule in problem.rules:
        named = [bare(literal) for literal in rule.if_all + rule.then_any]
        unknown = [option for option in dict.fromkeys(named) if option not in options]
        found += [Finding("unknown_option", rule.id, True, (option,)) for option in unknown]
        rules += [] if unknown else [rule]
    known = {}
    for name, facts in generations.items():
        unknown = [fact for fact in facts if fact not in options]
        found += [Finding("unknown_option", name, True, (fact,), generation=name) for fact in unknown]
        known[name] = tuple(fact for fact in facts if fact in options)
    return found, replace(problem, rules=tuple(rules)), known


def lint(
    problem: Problem, facts_per_generation: Mapping[str, Collection[str]] | None = None
) -> list[Finding]:
    """Return everything found, blocking findings first.

    `facts_per_generation` names the facts (options already chosen) of each vehicle generation. With it,
    an option counts as possible when some generation allows it. Rules with unknown options are
    reported and left out of the other checks. Where nothing is valid at all, the checks that would
    then hold for every option and rule are skipped.
    """
    facts = {name: tuple(chosen) for name, chosen in (facts_per_generation or {}).items()}
    found, known, facts = _unknown_options(problem, facts)
    malformed = problem_errors(known)
    if malformed:
        found += [Finding("malformed", e["field"], True, detail=e["message"]) for e in malformed]
        return found
    check = _Lint(known, facts)
    found += check.contradictions()
    if check.anything_valid:
        if check.sound or not facts:
            possible = check.possible()
            found += [*check.never_chosen(possible), *check.one_possible(possible)]
        found += check.never_matters()
    return found
