"""An answer that was cut off is still true, and says that it may hold too much."""

import random
from itertools import pairwise

import pytest

from configurator.rules import (
    Change,
    Engine,
    Family,
    Problem,
    Why,
    changing,
    excludes,
    explaining,
    needs,
)

from .brute import Brute
from .instances import CASES, random_problem, random_selection


def test_an_explanation_cut_off_is_still_minimal_and_says_so(monkeypatch):
    """A long chain of rules beside a shorter one; with no allowance the first found stands."""
    names = tuple(f"s{i}" for i in range(12))
    chain = [needs(a, b, "Next") for a, b in pairwise(names)]
    problem = Problem(
        (Family("f", "any", names),), (*chain, excludes("s0", "s11", "Ends"), needs("s3", "s9", "Skip"))
    )
    whole = Engine(problem).explain(["s0"])
    monkeypatch.setattr(explaining, "NODE", 10**9)
    cut = Engine(problem).explain(["s0"])
    assert cut.minimal
    assert cut.as_dict()["fewest_rules"] is False
    assert whole.fewest_rules
    assert not cut.fewest_rules
    assert len(whole.rules) <= len(cut.rules)
    for left_out in cut.rules:
        kept = tuple(rule for rule in problem.rules if rule.id in cut.rules and rule.id != left_out)
        assert Engine(Problem(problem.families, kept)).consistent(cut.choices)


def test_an_explanation_cut_off_at_once_contradicts_and_says_that_it_may_hold_too_much(monkeypatch):
    names = tuple(f"s{i}" for i in range(6))
    chain = tuple(needs(a, b, "Next") for a, b in pairwise(names))
    problem = Problem((Family("f", "any", names),), (*chain, excludes("s0", "s5", "Ends")))
    monkeypatch.setattr(explaining, "MAX_WORK", 0)
    cut = Engine(problem).explain(names[:1])
    assert (cut.minimal, cut.as_dict()["minimal"]) == (False, False)
    kept = tuple(rule for rule in problem.rules if rule.id in cut.rules)
    assert not Engine(Problem(problem.families, kept)).consistent(cut.choices)


def test_a_reason_of_one_rule_is_proved_the_fewest_whatever_the_allowance(monkeypatch):
    problem = Problem(
        (Family("f", "any", ("a", "b", "c")),),
        (needs("a", "c", "Needs it."), excludes("b", "c", "Never both."), excludes("a", "b", "Nor these.")),
    )
    monkeypatch.setattr(explaining, "MAX_WORK", 0)
    assert Engine(problem).explain(["a", "b"]) == Why(("a", "b"), (problem.rules[2].id,))


def test_a_change_cut_off_may_be_larger_and_says_so(monkeypatch):
    problem = Problem(
        (Family("f", "any", ("a", "b", "c")),), (excludes("a", "b", "1"), excludes("a", "c", "2"))
    )
    chosen = ["a", "b", "c"]
    assert Engine(problem).smallest_change(chosen) == Change(("a",), ())
    monkeypatch.setattr(changing, "MAX_NODES", 0)
    assert Engine(problem).smallest_change(chosen) == Change(("a",), ())
    monkeypatch.setattr(changing, "MAX_MAXSAT_WORK", 0)
    assert Engine(problem).smallest_change(chosen) == Change(("b", "c"), (), smallest=False)


def test_a_change_cut_off_keeps_the_dearest(monkeypatch):
    monkeypatch.setattr(changing, "MAX_NODES", 0)
    monkeypatch.setattr(changing, "MAX_MAXSAT_WORK", 0)
    problem = Problem((Family("f", "at_most", ("a", "b", "c"), 1),))
    change = Engine(problem).smallest_change(["a", "b", "c"], costs={"a": 1, "b": 3, "c": 2})
    assert change == Change(("a", "c"), (), smallest=False)


@pytest.mark.parametrize(("rules", "proved"), [(2, True), (3, False)])
def test_a_reason_of_two_rules_needs_no_search_to_be_the_shortest_and_one_of_three_does(
    monkeypatch, rules, proved
):
    """Reasons of no rule or of one are looked for first, so two are the fewest there can then be."""
    names = tuple(f"s{i}" for i in range(rules))
    chain = tuple(needs(a, b, "Next") for a, b in pairwise(names))
    problem = Problem((Family("f", "any", names),), (*chain, excludes("s0", names[-1], "Ends")))
    monkeypatch.setattr(explaining, "MAX_WORK", 0)
    why = Engine(problem).explain(["s0"])
    assert len(why.rules) == rules
    assert why.fewest_rules is proved


@pytest.mark.long
def test_reasons_of_no_rule_or_one_are_exact_without_any_search(monkeypatch):
    """With no allowance at all, against trying every build: the first of the cheapest is given."""
    monkeypatch.setattr(explaining, "MAX_WORK", 0)
    rng, seen = random.Random(31), set()
    for _ in range(max(CASES, 150)):
        problem = random_problem(rng, most=8, rules=8)
        engine, brute = Engine(problem), Brute(problem)
        chosen, want = random_selection(rng, problem)
        base = {want} - {None} if brute.consistent(chosen) else set()
        ordered = [c for c in brute.names if c in chosen and c not in base]
        found = brute.explanations(ordered, base)
        if not found or len(found[0][0]) > 1:
            continue
        place = {name: i for i, name in enumerate([*brute.names, *brute.rule_ids])}
        first = min(found, key=lambda pair: sorted(place[m] for m in (*pair[1], *pair[0])))
        why = engine.explain(chosen, want)
        assert (why.rules, why.choices, why.minimal, why.fewest_rules) == (*first, True, True), (
            problem,
            chosen,
            want,
        )
        seen.add((len(why.rules), len(why.choices)))
    assert {(0, 2), (1, 0), (1, 1), (1, 2)} <= seen
