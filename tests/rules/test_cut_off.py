"""An answer that was cut off is still true, and says that it may hold too much."""

from itertools import pairwise

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
