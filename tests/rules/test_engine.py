"""What the engine promises beyond its answers: the design's example, families of any size, sharing."""

import multiprocessing
import pickle
import threading
from decimal import Decimal

import pytest

from configurator.rules import (
    Answer,
    Bring,
    Change,
    Engine,
    Family,
    InputErrors,
    Problem,
    Rule,
    Why,
    brought,
    excludes,
    needs,
)

BUMPERS = Family("bumper", "one", ("standard bumper", "sport bumper"))


SPLITTERS = Family("splitter", "at_most", ("L1", "L2"), 1)


NEEDS_SPORT = needs("L2", "sport bumper", "Lower splitter L2 needs the sport bumper")


STYLING = Problem((BUMPERS, SPLITTERS), (NEEDS_SPORT,))


def test_the_example_of_the_design():
    assert Engine(STYLING).answer(["standard bumper"], "L2") == Answer(
        consistent=True,
        forced=(),
        open=("standard bumper", "L1"),
        closed=("sport bumper", "L2"),
        why=Why(("standard bumper",), (NEEDS_SPORT.id,)),
        change=Change(("standard bumper",), ("L2",)),
    )


def test_on_the_page_the_present_choice_is_set_aside():
    engine = Engine(STYLING)
    answer = engine.page_answer(["standard bumper", "L1"])
    assert answer.open == ("standard bumper", "sport bumper", "L1")
    assert answer.closed == ("L2",)
    assert engine.set_aside(["standard bumper", "L1"], "L2") == ("standard bumper",)
    assert engine.page_answer(["standard bumper"], facts=["standard bumper"]).closed == ("sport bumper", "L2")
    both = ["standard bumper", "sport bumper"]
    assert engine.page_answer(["standard bumper", "L1"], facts=both).closed == ("L2",)
    assert engine.set_aside(["standard bumper", "L1"], "sport bumper", facts=both) == ()
    assert engine.set_aside(["standard bumper", "L1"], "L2", facts=both) == ("standard bumper",)


def test_a_family_alone_explains_two_choices_of_which_it_takes_one():
    answer = Engine(STYLING).answer(["standard bumper", "sport bumper"])
    assert answer == Answer(
        consistent=False,
        forced=(),
        open=(),
        closed=STYLING.options,
        why=Why(("standard bumper", "sport bumper"), ()),
        change=Change(("sport bumper",), ()),
    )


def test_costs_decide_between_changes_of_the_same_size():
    engine = Engine(STYLING)
    chosen = ["standard bumper", "sport bumper"]
    costs = {"standard bumper": Decimal("0.10"), "sport bumper": Decimal("0.20")}
    assert engine.smallest_change(chosen, costs=costs).drop == ("standard bumper",)
    assert engine.smallest_change(chosen, costs=costs, facts=["standard bumper"]).drop == ("sport bumper",)
    assert engine.smallest_change(chosen, facts=chosen) is None


def test_a_selection_that_cannot_be_mended_has_no_change():
    engine = Engine(Problem((BUMPERS,), (Rule("never", (), (), "Nothing goes"),)))
    assert engine.answer(["sport bumper"], "standard bumper") == Answer(
        False, (), (), BUMPERS.options, Why((), ("never",)), None
    )


@pytest.mark.parametrize("size", [5, 30, 400])
@pytest.mark.parametrize("limit", [0, 1, 3, 12, 29])
def test_families_of_any_size_take_no_more_than_their_limit(size, limit):
    names = tuple(f"o{i}" for i in range(size))
    engine = Engine(Problem((Family("f", "at_most", names, limit), Family("g", "one", ("x", "y")))))
    allowed = min(size, limit)
    full = engine.answer(names[:allowed])
    assert full.consistent
    assert full.open == (*(names if limit >= size else names[:allowed]), "x", "y")
    if limit < size:
        over = engine.answer(names[: limit + 1])
        assert not over.consistent
        assert over.why == Why(names[: limit + 1], ())
        assert len(over.change.drop) == 1


@pytest.mark.parametrize(("size", "limit"), [(45, 1), (60, 25), (700, 1)])
def test_a_crowded_family_loses_the_excess_and_keeps_the_dearest(size, limit):
    """700 choices are too many for the search for hitting sets, and go to MaxSAT."""
    names = tuple(f"o{i:03}" for i in range(size))
    engine = Engine(Problem((Family("f", "at_most", names, limit),)))
    change = engine.smallest_change(names, costs=dict.fromkeys(names, 1) | {"o017": 2})
    assert len(change.drop) == size - limit
    assert "o017" not in change.drop
    assert engine.consistent(set(names).difference(change.drop))


def test_propagation_alone_would_leave_a_closed_option_open():
    """Beside `d` neither x nor y decides anything by itself, yet no pair of them is possible."""
    rules = (
        needs("d", ("x", "y"), "1"),
        needs(("d", "x"), "y", "2"),
        needs(("d", "y"), "x", "3"),
        excludes(("d", "x"), "y", "4"),
    )
    engine = Engine(Problem((Family("f", "any", ("d", "x", "y")),), rules))
    assert engine._solver.propagate([1])[0], "the case is meant to be beyond propagation"
    answer = engine.answer([], "d")
    assert answer.closed == ("d",)
    assert answer.why == Why((), tuple(rule.id for rule in rules))


def test_every_way_out_leading_to_the_same_option_forces_it():
    problem = Problem(
        (Family("f", "one", ("a", "b")), Family("g", "any", ("c", "d"))),
        (needs("a", "c", "A"), needs("b", "c", "B"), excludes("c", "d", "C")),
    )
    answer = Engine(problem).answer([], "d")
    assert (answer.forced, answer.closed) == (("c",), ("d",))
    assert answer.why == Why((), tuple(rule.id for rule in problem.rules))


def test_fewer_changes_come_before_cheaper_ones():
    problem = Problem(
        (Family("f", "any", ("a", "b", "c")),), (excludes("c", "a", "1"), excludes("c", "b", "2"))
    )
    change = Engine(problem).smallest_change(["a", "b", "c"], costs={"a": -5, "b": -5, "c": 1000})
    assert change.drop == ("c",)


def test_helpers_write_plain_rules():
    assert needs("a", ("b", "c"), "why", id="n") == Rule("n", ("a",), ("b", "c"), "why")
    assert excludes(("a", "b"), "c", "why") == Rule("a+b excludes c", ("a", "b", "c"), (), "why")


def test_brings_follow_from_choices_and_from_what_is_not_chosen():
    bolts = Bring("bolts", ("spacer",), (("bolt", 10),), "Longer bolts go with a spacer", "workshop")
    cap = Bring("cap", ("spacer", "!wheel"), ("cap",), "The old wheel keeps its cap")
    assert brought([bolts, cap], ["spacer"]) == (bolts, cap)
    assert brought([bolts, cap], ["spacer", "wheel"]) == (bolts,)
    assert brought([bolts, cap], []) == ()


def test_threads_share_an_engine():
    engine = Engine(STYLING)
    cases = [[], ["standard bumper"], ["L2"], ["standard bumper", "L2"]]
    expected = [engine.answer(case, "L2") for case in cases]
    wrong = []

    def ask():
        for _ in range(60):
            wrong.extend(c for c, e in zip(cases, expected, strict=True) if engine.answer(c, "L2") != e)

    threads = [threading.Thread(target=ask) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong


def test_an_engine_can_be_pickled():
    again = pickle.loads(pickle.dumps(Engine(STYLING)))
    assert again.answer(["L2"]) == Engine(STYLING).answer(["L2"])


def _ask(engine, results):
    results.put(engine.answer(["L2"]).forced)


def _hold(engine, held, done):
    with engine._lock:
        held.set()
        done.wait(10)


def test_a_forked_process_answers_though_the_lock_was_held():
    engine = Engine(STYLING)
    context = multiprocessing.get_context("fork")
    results = context.Queue()
    held, done = threading.Event(), threading.Event()
    holder = threading.Thread(target=_hold, args=(engine, held, done))
    holder.start()
    held.wait(10)
    child = context.Process(target=_ask, args=(engine, results))
    child.start()
    done.set()
    holder.join()
    try:
        assert results.get(timeout=20) == ("sport bumper",)
    finally:
        child.join(5)
        child.kill()


def test_answers_are_told_in_plain_values():
    answer = Answer(True, ("f",), ("o",), ("c",), Why(("a",), ("r",)), Change(("d",), ("n",)))
    assert answer.as_dict() == {
        "consistent": True,
        "forced": ["f"],
        "open": ["o"],
        "closed": ["c"],
        "why": {"choices": ["a"], "rules": ["r"]},
        "change": {"drop": ["d"], "add": ["n"]},
    }
    bare = Answer(False, (), (), ()).as_dict()
    assert (bare["why"], bare["change"], bare["consistent"]) == (None, None, False)
    both = Why((), ("r",), fewest_rules=False, minimal=False).as_dict()
    assert both == {"choices": [], "rules": ["r"], "fewest_rules": False, "minimal": False}


def test_unknown_wants_and_facts_are_refused_at_their_own_field():
    engine = Engine(STYLING)
    asked = {
        "want": [
            lambda: engine.explain([], "no"),
            lambda: engine.smallest_change([], "no"),
            lambda: engine.set_aside([], "no"),
            lambda: engine.answer([], "no"),
        ],
        "facts": [
            lambda: engine.page_answer([], ["no"]),
            lambda: engine.set_aside([], "L1", ["no"]),
            lambda: engine.smallest_change([], facts=["no"]),
        ],
    }
    for field, questions in asked.items():
        for ask in questions:
            with pytest.raises(InputErrors) as raised:
                ask()
            assert [error["field"] for error in raised.value.errors] == [f"{field}[0]"]


def test_plain_rules_are_named_after_what_they_join():
    assert needs(("a", "b"), ("c", "d"), "why").id == "a+b needs c/d"


def test_a_choice_without_a_cost_costs_nothing():
    change = Engine(STYLING).smallest_change(
        ["standard bumper", "sport bumper"], costs={"standard bumper": Decimal("0.50")}
    )
    assert change.drop == ("sport bumper",)
    gift = Engine(STYLING).smallest_change(
        ["standard bumper", "sport bumper"], costs={"standard bumper": Decimal("-0.50")}
    )
    assert gift.drop == ("standard bumper",)


def test_of_reasons_alike_the_shorter_comes_before_the_one_whose_options_come_first():
    problem = Problem(
        (Family("f", "any", ("a", "b", "c")),),
        (excludes("a", "b", "Never both.", id="pair"), Rule("never", ("c",), (), "Not made any more.")),
    )
    assert Engine(problem).explain(["a", "b", "c"]) == Why(("c",), ("never",))


def test_a_large_family_beside_the_rules_is_no_reason_of_theirs():
    """A limit on many options needs helper variables; none of them is taken for a rule."""
    names = tuple(f"o{i}" for i in range(40))
    problem = Problem(
        (Family("many", "at_most", names, 3), Family("f", "any", ("a", "b", "c", "d"))),
        (
            needs("a", "b", "First."),
            needs("b", "c", "Second."),
            needs("c", "d", "Third."),
            excludes("a", "d", "Last."),
        ),
    )
    engine = Engine(problem)
    rules = tuple(rule.id for rule in problem.rules)
    assert engine.explain([*names[:3], "a"]) == Why(("a",), rules)
    assert engine.explain(names[:4]) == Why(names[:4], ())
    for left_out in range(4):
        kept = problem.rules[:left_out] + problem.rules[left_out + 1 :]
        assert Engine(Problem(problem.families, kept)).consistent([*names[:3], "a"])


def test_a_one_of_family_without_an_option_leaves_no_build_whatever_follows_it():
    problem = Problem((Family("none", "one", ()), BUMPERS))
    assert Engine(problem).answer(["sport bumper"]) == Answer(
        False, (), (), BUMPERS.options, Why((), ()), None
    )
