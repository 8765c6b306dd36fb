"""The engine against trying every build, on random problems of up to 14 options."""

import random
from fractions import Fraction
from itertools import combinations

import pytest

from configurator.rules import Engine, changing, explaining

from .brute import Brute
from .instances import CASES, random_problem, random_selection


def cases(seed: int, count: int, most: int = 14, rules: int = 12):
    """Yield problems with both engines and three selections each, so that engines are also used warm."""
    rng = random.Random(seed)
    for _ in range(count):
        problem = random_problem(rng, most, rules)
        engine, brute = Engine(problem), Brute(problem)
        for _ in range(3):
            chosen, want = random_selection(rng, problem)
            yield rng, problem, engine, brute, chosen, want


@pytest.mark.parametrize("block", range(4))
def test_consistent_open_closed_forced_equal_enumeration(block):
    seen = set()
    for _, problem, engine, brute, chosen, want in cases(block, CASES // 4):
        answer = engine.answer(chosen, want)
        case = (problem, chosen, want)
        assert answer.consistent == brute.consistent(chosen) == engine.consistent(chosen), case
        assert answer.open == brute.open(chosen), case
        assert answer.closed == tuple(n for n in brute.names if n not in answer.open), case
        assert answer.forced == brute.forced(chosen), case
        seen.add((answer.consistent, bool(answer.forced), answer.why is None, answer.change is None))
    assert len(seen) >= 4, "the cases do not reach the answers they are meant to compare"


@pytest.mark.parametrize("block", range(4))
def test_why_is_minimal_with_fewest_rules(block):
    explained = 0
    for _, problem, engine, brute, chosen, want in cases(100 + block, CASES // 4, rules=9):
        why = engine.answer(chosen, want).why
        case = (problem, chosen, want)
        if not brute.consistent(chosen):
            base = set()
        elif want and want not in brute.open(chosen):
            base = {want}
        else:
            assert why is None, case
            continue
        explained += 1
        assert brute.contradicts({*why.choices, *base}, why.rules), case
        for choice in why.choices:
            assert not brute.contradicts({*why.choices, *base} - {choice}, why.rules), case
        for rule in why.rules:
            assert not brute.contradicts({*why.choices, *base}, [r for r in why.rules if r != rule]), case
        for fewer in combinations(brute.rule_ids, len(why.rules) - 1) if why.rules else ():
            assert not brute.contradicts({*chosen, *base}, fewer), case
        assert why.fewest_rules
        assert set(why.choices) <= set(chosen)
    assert explained > CASES // 20


@pytest.mark.long
def test_a_why_that_was_cut_off_is_minimal_all_the_same(monkeypatch):
    monkeypatch.setattr(explaining, "NODE", 10**9)
    cut = 0
    for _, _problem, engine, brute, chosen, want in cases(150, CASES, rules=40):
        why = engine.explain(chosen, want)
        if why is None:
            continue
        cut += not why.fewest_rules
        base = {want} if brute.consistent(chosen) else set()
        assert brute.contradicts({*why.choices, *base}, why.rules)
        for choice in why.choices:
            assert not brute.contradicts({*why.choices, *base} - {choice}, why.rules)
        for rule in why.rules:
            assert not brute.contradicts({*why.choices, *base}, [r for r in why.rules if r != rule])
    assert cut, "no case in which the search was cut off"


def test_why_is_the_first_of_the_smallest():
    """Fewest rules, fewest choices, then the order of the problem: choices first, then rules."""
    for _, problem, engine, brute, chosen, want in cases(200, CASES // 3, most=9, rules=6):
        why = engine.explain(chosen, want)
        base = {want} - {None} if brute.consistent(chosen) else set()
        if brute.consistent({*chosen, *base}):
            assert why is None
            continue
        place = {name: i for i, name in enumerate([*brute.names, *brute.rule_ids])}
        ordered = [c for c in brute.names if c in chosen]
        found = brute.explanations([c for c in ordered if c not in base], base)
        first = min(found, key=lambda pair: sorted(place[m] for m in (*pair[1], *pair[0])))
        assert (why.rules, why.choices) == first, (problem, chosen, want)


@pytest.mark.parametrize("block", range(4))
def test_change_is_minimum(block):
    changed = 0
    for rng, problem, engine, brute, chosen, want in cases(300 + block, CASES // 4):
        costs = {name: rng.choice([0, 1, 2, Fraction(1, 3), -1]) for name in chosen}
        change = engine.smallest_change(chosen, want, costs)
        case = (problem, chosen, want, costs)
        assert change == engine.answer(chosen, want, costs).change, case
        best = brute.drops(chosen, want)
        if not best or brute.consistent({*chosen, *([want] if want else [])}):
            assert change is None, case
            continue
        changed += 1
        cheapest = min(best, key=lambda drop: (sum(costs[c] for c in drop), sorted(drop)))
        assert sorted(change.drop) == sorted(cheapest), case
        assert change.add == ((want,) if want and want not in chosen else ()), case
        after = (set(chosen) - set(change.drop)) | set(change.add)
        assert brute.consistent(after), case
        assert change.smallest
    assert changed > CASES // 20


@pytest.mark.long
def test_changes_by_maxsat_are_minimum_too(monkeypatch):
    monkeypatch.setattr(changing, "MAX_NODES", 0)
    changed = 0
    for rng, problem, engine, brute, chosen, want in cases(350, CASES // 3):
        costs = {name: rng.choice([0, 1, 2, Fraction(1, 3), -1]) for name in chosen}
        change = engine.smallest_change(chosen, want, costs)
        if change is not None:
            changed += 1
            found = [sum(costs[name] for name in drop) for drop in brute.drops(chosen, want)]
            assert len(change.drop) == len(brute.drops(chosen, want)[0]), (problem, chosen, want)
            assert sum(costs[name] for name in change.drop) == min(found), (problem, chosen, want)
            assert brute.consistent((set(chosen) - set(change.drop)) | set(change.add))
    assert changed > CASES // 20


def test_changes_cut_off_help_and_keep_all_that_can_be_kept(monkeypatch):
    monkeypatch.setattr(changing, "MAX_NODES", 0)
    monkeypatch.setattr(changing, "MAX_MAXSAT_WORK", 0)
    changed = 0
    for rng, problem, engine, brute, chosen, want in cases(360, CASES // 3):
        costs = {name: rng.choice([0, 1, 2]) for name in chosen}
        change = engine.smallest_change(chosen, want, costs)
        if change is None:
            assert brute.consistent({*chosen, *({want} - {None})}) or not brute.consistent({want} - {None})
            continue
        changed += 1
        case = (problem, chosen, want, costs)
        assert not change.smallest
        assert change.as_dict()["smallest"] is False
        after = (set(chosen) - set(change.drop)) | set(change.add)
        assert brute.consistent(after), case
        assert not any(brute.consistent({*after, choice}) for choice in change.drop), case
    assert changed > CASES // 20


def test_adding_other_options_never_makes_a_smaller_change():
    """Minimum over every pair of drop and add sets, as the contract words it."""
    for _, problem, engine, brute, chosen, want in cases(400, CASES // 4, most=7, rules=8):
        change = engine.smallest_change(chosen, want)
        if change is None or want is None:
            continue
        free = [name for name in brute.names if name not in chosen]
        size = len(change.drop) + len(change.add)
        for smaller in range(size):
            for dropped in range(smaller + 1):
                for drop in combinations(chosen, dropped):
                    for add in combinations(free, smaller - dropped):
                        after = (set(chosen) - set(drop)) | set(add)
                        assert want not in after or not brute.consistent(after), (problem, chosen, want)


def test_kept_facts_are_never_dropped():
    for rng, problem, engine, brute, chosen, want in cases(500, CASES // 3):
        keep = [name for name in chosen if rng.random() < 0.4]
        change = engine.smallest_change(chosen, want, facts=keep)
        must = {*keep, *([want] if want else [])}
        if change is None:
            open_already = brute.consistent({*chosen, *must})
            assert open_already or not brute.consistent(must), (problem, chosen, want, keep)
        else:
            assert not set(change.drop) & must
            allowed = [set(d) for d in brute_drops(brute, chosen, must)]
            assert set(change.drop) in allowed, (problem, chosen, want, keep)


def brute_drops(brute, chosen, must):
    free = [option for option in chosen if option not in must]
    for size in range(len(free) + 1):
        found = [d for d in combinations(free, size) if brute.consistent(must | (set(chosen) - set(d)))]
        if found:
            return found
    return []


def single_families(problem):
    """Return each option's family where that takes one choice alone."""
    return {
        option: set(family.options)
        for family in problem.families
        for option in family.options
        if family.kind == "one" or (family.kind, family.limit) == ("at_most", 1)
    }


def test_page_answer_sets_the_familys_present_choice_aside():
    repaired = 0
    for _, problem, engine, brute, chosen, _ in cases(600, CASES // 2):
        answer = engine.page_answer(chosen)
        single = single_families(problem)
        opened = {o for o in brute.names if brute.consistent({*(set(chosen) - single.get(o, set())), o})}
        assert set(answer.open) == opened, (problem, chosen)
        assert set(answer.closed) == set(brute.names) - opened
        assert answer.forced == brute.forced(chosen)
        assert answer.consistent is brute.consistent(chosen)
        repaired += not answer.consistent and bool(answer.open)
        for option in brute.names:
            assert (option in opened) == brute.consistent({*engine.set_aside(chosen, option), option})
    assert repaired, "no case in which picking another option repairs the selection"


@pytest.mark.long
def test_wishes_never_close_a_fact_and_never_replace_one():
    closed_by_a_wish = 0
    for rng, problem, engine, brute, chosen, _ in cases(650, CASES // 2):
        facts = {name for name in brute.names if rng.random() < 0.4}
        stated = facts.intersection(chosen)
        single = single_families(problem)
        answer = engine.page_answer(chosen, facts)
        for option in brute.names:
            family = single.get(option, set())
            if option in facts:
                beside = stated - family
                closed_by_a_wish += brute.consistent({*beside, option}) and not brute.consistent(
                    {*(set(chosen) - family), option}
                )
            else:
                beside = set(chosen) if family & stated else set(chosen) - family
            case = (problem, chosen, facts, option)
            assert (option in answer.open) == brute.consistent({*beside, option}), case
            aside = set(engine.set_aside(chosen, option, facts))
            assert (option in answer.open) == brute.consistent({*aside, option}), case
    assert closed_by_a_wish, "no case in which the difference shows"


def test_the_answer_does_not_depend_on_what_was_asked_before():
    for _, problem, engine, _, chosen, want in cases(700, CASES // 3):
        assert engine.answer(chosen, want) == Engine(problem).answer(reversed(chosen), want)
