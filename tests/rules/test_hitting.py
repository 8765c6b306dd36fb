"""The searches under the engine: hitting sets against trying every set, leaving out, counted work."""

import random
from itertools import combinations

import pytest

from configurator.rules import Family, Problem, excludes
from configurator.rules.encoding import Encoding
from configurator.rules.explaining import Explainer
from configurator.rules.hitting import cheapest_hitting_set
from configurator.rules.metering import Allowance, CutOff, metered
from configurator.rules.minimal import minimal

PLENTY = 100_000


def every_way(demands, members):
    """Yield each set of members that meets every demand, by trying all."""
    for size in range(len(members) + 1):
        for some in combinations(members, size):
            if all(len(wanted.intersection(some)) >= due for wanted, due in demands):
                yield list(some)


@pytest.mark.parametrize("seed", range(150))
def test_no_set_that_meets_every_demand_is_cheaper(seed):
    rng = random.Random(seed)
    members = list(range(rng.randint(1, 8)))
    demands = []
    for _ in range(rng.randint(0, 6)):
        wanted = frozenset(rng.sample(members, rng.randint(1, len(members))))
        demands.append((wanted, rng.randint(1, min(3, len(wanted)))))
    price = {member: rng.choice([1, 1, 2, 3, 7]) for member in members}
    best = min(every_way(demands, members), key=lambda some: (sum(map(price.get, some)), some))
    assert cheapest_hitting_set(demands, price.__getitem__, Allowance(PLENTY)) == best


def test_a_demand_for_more_than_there_is_cannot_be_met():
    with pytest.raises(ValueError, match="asks for more"):
        cheapest_hitting_set([(frozenset({1, 2}), 3)], lambda _: 1, Allowance(PLENTY))


def test_nothing_is_asked_and_nothing_taken():
    assert cheapest_hitting_set([], lambda _: 1, Allowance(1)) == []
    with pytest.raises(CutOff):
        cheapest_hitting_set([], lambda _: 1, Allowance(0))


def test_every_node_of_the_search_takes_a_step():
    # One node for the empty set, one for the set with the member in it.
    allowance = Allowance(10)
    assert cheapest_hitting_set([(frozenset({4}), 1)], lambda _: 1, allowance) == [4]
    assert allowance.steps == 8


def test_a_set_too_deep_for_the_interpreter_is_cut_off_and_one_just_as_deep_as_it_may_be_is_not():
    deep = frozenset(range(200))
    assert cheapest_hitting_set([(deep, 200)], lambda _: 1, Allowance(PLENTY)) == sorted(deep)
    with pytest.raises(CutOff):
        cheapest_hitting_set([(deep | {200}, 201)], lambda _: 1, Allowance(PLENTY))


def test_members_alike_are_tried_once_however_many():
    """A hundred members that differ by number alone: choosing ten takes ten steps and one, not a search."""
    allowance = Allowance(PLENTY)
    found = cheapest_hitting_set([(frozenset(range(100)), 10)], lambda _: 1, allowance)
    assert found == list(range(10))
    assert PLENTY - allowance.steps == 11


def test_steps_are_taken_to_the_last_and_not_one_more():
    allowance = Allowance(3)
    allowance.take()
    allowance.take(2)
    assert allowance.steps == 0
    with pytest.raises(CutOff):
        allowance.take()


def test_what_can_be_left_out_is_left_out_and_the_order_stays():
    asked = []

    def contradict(some):
        asked.append(list(some))
        return [member for member in some if member in (7, 3)] if {7, 3} <= set(some) else None

    assert minimal([9, 7, 5, 3, 1], contradict) == [7, 3]
    # What the first answer leaves out besides is not asked for again.
    assert asked == [[7, 5, 3, 1], [3], [7]]
    assert minimal([], contradict) == []


PAIR = Encoding(Problem((Family("f", "any", ("a", "b", "c")),), (excludes("a", "b", "Never both."),)))


def test_the_solver_is_metered_by_its_propagations():
    solver = PAIR.solver()
    allowance = Allowance(PLENTY)
    assert metered(solver, [1], allowance) is True
    assert metered(solver, [1, 2], allowance) is False
    spent = PLENTY - allowance.steps
    assert spent == solver.accum_stats()["propagations"] > 0
    with pytest.raises(CutOff):
        metered(PAIR.solver(), [1], Allowance(0))
    # A budget that was used up does not stay in force.
    assert solver.solve([3]) is True


def test_nothing_is_explained_where_nothing_contradicts():
    explainer = Explainer(PAIR)
    assert explainer.explain([], [1, 3]) is None
    assert explainer.explain([1], [3]) is None
    assert explainer.explain([1], [2]).members == [2, PAIR.first_selector]
