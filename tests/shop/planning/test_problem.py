"""What there is to plan, worked out by hand: who can, what is shared, from when on, and what it costs."""

from __future__ import annotations

from datetime import time
from functools import partial

import pytest

from shop.planning.calendar import Stretch, WorkCalendar
from shop.planning.dispatch import HorizonError, in_time, serial
from shop.planning.occupied import Occupied
from shop.planning.problem import Link, Person, Plan, Problem, Step

from .cases import MONDAY, ZONE, short_days
from .checker import faults

ALWAYS = (1 << 400) - 1


def person(name: str, *skills: str, at_work: int = ALWAYS) -> Person:
    return Person(name, at_work, frozenset(skills))


def problem(*steps: Step, links: tuple[Link, ...] = (), days: int = 5, **more: object) -> Problem:
    places = {"bay": 1, "lift": 1, "booth": 1}
    return Problem(short_days(days), places, list(steps), list(links), **more)  # type: ignore[arg-type]


def test_who_can_do_what() -> None:
    painter, anyone = person("Pia", "colour", "lacquer"), person("Ali")
    assert [painter.can(skill) for skill in ("colour", "torque", "")] == [True, False, True]
    assert anyone.can("torque")


def test_those_who_can_do_least_are_asked_first() -> None:
    crew = (
        person("all"),
        person("two", "colour", "lacquer"),
        person("one", "colour"),
        person("other", "wash"),
    )
    found = problem(
        Step(0, "a", "booth", 1, skill="colour"),
        Step(0, "b", "bay", 1),
        Step(0, "c", "bay", 1, skill="colour", hands=0),
        crew=crew,
    )
    assert found.able == [(2, 1, 0), (2, 3, 1, 0), ()]


def test_what_a_step_takes_of_what_is_shared() -> None:
    steps = (
        Step(0, "a", "bay", 1),
        Step(0, "b", "", 1, hands=2, also=(("jack", 3),)),
        Step(0, "c", "lift", 1, hands=0),
    )
    assert problem(*steps).shares == [
        (("bay", 1), ("people", 1)),
        (("people", 2), ("jack", 3)),
        (("lift", 1),),
    ]
    assert problem(*steps, crew=(person("Ali"),)).shares == [(("bay", 1),), (("jack", 3),), (("lift", 1),)]


def test_hands_are_missing_where_fewer_work() -> None:
    hours = [Stretch(0, time(8), time(8, 30), 1), Stretch(0, time(9), time(9, 30), 3)]
    few = Problem(WorkCalendar(MONDAY, 1, ZONE, hours), {}, [Step(0, "a", "", 1, hands=2)])
    # Level n is full where more than n are taken: at first two of three are not there.
    assert few.hand_levels == [0b0011, 0b0011, 0]
    assert serial(few, [()]).starts == [2]
    assert Problem(WorkCalendar(MONDAY, 0, ZONE), {}, []).hand_levels == []


def test_unbroken_work_starts_where_its_stretch_is_long_enough() -> None:
    found = problem(Step(0, "a", "booth", 3), Step(0, "b", "booth", 4), Step(0, "c", "bay", 2), days=3)
    assert found.unbroken_starts == {3: 0b0011_0011_0011, 4: 0b0001_0001_0001}
    # Longer than any stretch: it must be left over a closing somewhere, so it may start anywhere.
    longer = problem(Step(0, "a", "booth", 5), days=3)
    assert longer.unbroken_starts == {5: 0b1111_1111_1111}


LINKS = (Link(0, 1), Link(0, 2, 12.0), Link(1, 3, 0.25), Link(2, 3))


def test_what_comes_before_and_after() -> None:
    steps = [Step(0, key, "bay", 1) for key in "abcd"]
    found = problem(*steps, links=LINKS)
    assert found.before == [[], [LINKS[0]], [LINKS[1]], [LINKS[2], LINKS[3]]]
    assert found.following == [[LINKS[0], LINKS[1]], [LINKS[2]], [LINKS[3]], []]
    assert found.in_order == [0, 1, 2, 3]
    back = problem(*steps, links=(Link(3, 1), Link(1, 0), Link(3, 0), Link(0, 2)))
    assert back.in_order == [3, 1, 0, 2]


@pytest.mark.parametrize(
    ("one", "two", "slots"),
    [("bay", "lift", 2), ("lift", "bay", 2), ("bay", "bay", 0), ("bay", "booth", 0), ("", "lift", 0)],
)
def test_the_vehicle_is_moved_between_two_kinds_of_place_that_hold_it(one: str, two: str, slots: int) -> None:
    found = problem(Step(0, "a", one, 1), Step(0, "b", two, 1), links=(Link(0, 1),), move=2)
    assert found.move_between(found.links[0]) == slots
    assert found.earliest(1, {0: 0}) == 1 + slots
    assert serial(found, [(), ()]).starts == [0, 1 + slots]


def test_the_first_slot_a_step_may_have() -> None:
    steps = [Step(0, "a", "bay", 2), Step(0, "b", "booth", 1), Step(0, "c", "lift", 1, release=3)]
    found = problem(*steps, links=(Link(0, 2), Link(1, 2, 12.0)), move=1)
    assert found.earliest(0, {}) == 0
    # The lift is free to go to from slot 3 on (two slots of bay, one to move); the coat dries overnight.
    assert found.earliest(2, {0: 0, 1: 0}) == 4
    assert found.earliest(2, {0: 5, 1: 0}) == 8
    assert problem(steps[0], steps[2], links=(Link(0, 1),)).earliest(1, {0: 0}) == 3


def test_what_a_plan_costs() -> None:
    steps = [Step(0, "a", "bay", 2), Step(0, "b", "booth", 1), Step(1, "c", "bay", 1)]
    found = problem(*steps, tails={1: 12.0}, due={0: 4, 1: 9})
    assert found.ready([0, 1, 8]) == {0: 4, 1: 9}
    # Ready on the day promised costs nothing more; a slot late costs ten.
    assert found.cost([0, 1, 8]) == 4 + 9
    assert found.cost([0, 1, 9]) == 4 + 10 + 10
    assert found.cost([3, 1, 8]) == 5 + 10 + 9
    alone = problem(*steps, tails={1: 12.0}, makespan=True)
    assert (alone.cost([0, 1, 8]), alone.cost_of({})) == (9, 0)


def test_no_plan_is_cheaper_than_each_job_alone() -> None:
    steps = [Step(0, "a", "bay", 2), Step(0, "b", "bay", 2, pinned=6), Step(1, "c", "bay", 1, release=2)]
    # Job 0 is pinned until slot 8; job 1 alone is done with slot 2.
    assert problem(*steps, links=(Link(0, 1),)).least_cost == 8 + 3


# What is full.


def taken(found: Problem, *rows: tuple[int, int, int | None]) -> Occupied:
    """Return what is full once the steps (index, start, who) have been planned."""
    occupied = Occupied(found)
    for index, start, who in rows:
        occupied.take(index, start, who)
    return occupied


def test_a_place_is_never_given_twice() -> None:
    found = problem(Step(0, "a", "bay", 2), Step(1, "b", "bay", 2), Step(2, "c", "bay", 1))
    occupied = taken(found, (0, 1, None))
    assert occupied.first_free(1, 0) == (3, None)
    assert occupied.first_free(2, 0) == (0, None)
    assert [occupied.has_place(2, slot) for slot in range(4)] == [True, False, False, True]


def test_of_two_places_both_are_given_and_no_third() -> None:
    steps = [Step(n, str(n), "bay", 2, hands=0) for n in range(3)]
    found = Problem(short_days(2), {"bay": 2}, steps)
    assert taken(found, (0, 0, None)).first_free(1, 0) == (0, None)
    both = taken(found, (0, 0, None), (1, 1, None))
    assert both.first_free(2, 0) == (2, None)
    assert [both.has_place(2, slot) for slot in (0, 1, 2)] == [False, False, True]


def test_an_amount_that_is_not_there_is_never_free() -> None:
    found = Problem(short_days(2), {"jack": 2}, [Step(0, "a", "", 1, also=(("jack", 3),))])
    with pytest.raises(HorizonError, match="no room for a within 8 slots"):
        Occupied(found).first_free(0, 0)
    two = Problem(short_days(2), {"jack": 3}, [Step(n, "a", "", 2, also=(("jack", 2),)) for n in range(2)])
    assert taken(two, (0, 0, None)).first_free(1, 0) == (2, None)


def test_nameless_hands_are_shared() -> None:
    found = Problem(short_days(2, people=2), {}, [Step(n, str(n), "", 1, hands=n + 1) for n in range(3)])
    assert taken(found, (0, 0, None)).first_free(1, 0) == (1, None)
    assert taken(found, (0, 0, None)).first_free(0, 0) == (0, None)
    assert taken(found, (0, 0, None)).has_place(1, 0)  # only hands are lacking
    with pytest.raises(HorizonError):
        Occupied(found).first_free(2, 0)


def test_one_vehicle_is_in_one_place_and_is_moved_there_and_back() -> None:
    steps = [Step(0, "a", "bay", 2), Step(0, "b", "lift", 1), Step(0, "c", "bay", 1), Step(1, "d", "lift", 1)]
    found = Problem(short_days(3), {"bay": 2, "lift": 2}, steps, move=2)
    occupied = taken(found, (0, 4, None))
    # On the lift until two slots before the bay, or from two slots after it.
    assert occupied.first_free(1, 0) == (0, None)
    assert occupied.first_free(1, 2) == (8, None)
    assert [occupied.has_place(1, slot) for slot in (1, 2, 7, 8)] == [True, False, False, True]
    # In another bay it can be at once after; another vehicle can be on the lift all the time.
    assert occupied.first_free(2, 4) == (6, None)
    assert occupied.first_free(3, 4) == (4, None)
    assert taken(found, (0, 0, None)).first_free(1, 0) == (4, None)


def test_a_person_does_one_thing_at_a_time_in_their_own_hours() -> None:
    crew = (person("late", at_work=0b1111_0000), person("Pia", "colour"))
    steps = [
        Step(0, "a", "bay", 2, skill="wash"),
        Step(1, "b", "booth", 2, skill="colour"),
        Step(2, "c", "lift", 1, hands=0),
    ]
    found = problem(*steps, crew=crew, days=3)
    assert Occupied(found).first_free(0, 0) == (4, 0)
    assert Occupied(found).first_free(1, 0) == (0, 1)
    assert taken(found, (1, 0, 1)).first_free(1, 0) == (2, 1)
    assert Occupied(found).first_free(2, 1) == (1, None)
    busy = taken(found, (0, 4, 0))
    assert busy.busy[0] & 0b1111_0000 == 0b0011_0000
    with pytest.raises(HorizonError):
        busy.first_free(0, 7)


def test_whoever_was_on_the_job_last_goes_on_with_it() -> None:
    crew = (person("Ali"), person("Bo"))
    steps = [Step(0, "a", "bay", 1), Step(0, "b", "bay", 1), Step(1, "c", "bay", 1)]
    found = problem(*steps, crew=crew)
    occupied = taken(found, (0, 0, 1))
    assert occupied.first_free(1, 1) == (1, 1)
    assert occupied.first_free(2, 1) == (1, 0)
    twin = occupied.copy()
    twin.take(2, 1, 1)
    assert (twin.first_free(1, 1), occupied.first_free(1, 1)) == ((2, 1), (1, 1))


def test_what_is_planned_already_blocks_place_and_hands() -> None:
    found = Problem(short_days(2, people=2), {"bay": 2, "booth": 1}, [Step(0, "a", "bay", 1, hands=2)])
    occupied = Occupied(found)
    occupied.block("booth", 0, 2, None)
    assert occupied.first_free(0, 0) == (2, None)
    # A kind of place that is not in use any more blocks hands alone.
    occupied.block("crane", 2, 1, None)
    assert occupied.first_free(0, 0) == (3, None)
    named = problem(Step(0, "a", "bay", 1), crew=(person("Ali"),))
    busy = Occupied(named)
    busy.block("booth", 1, 2, 0)
    assert [busy.first_free(0, slot)[0] for slot in (0, 1)] == [0, 3]


# Building a plan.


def test_pinned_work_stands_and_what_follows_waits_for_it() -> None:
    steps = [Step(0, "a", "bay", 2, pinned=2), Step(0, "b", "bay", 1), Step(1, "c", "bay", 2)]
    found = problem(*steps, links=(Link(0, 1),))
    for build in (serial, in_time):
        assert build(found, [(0,), (1,), (2,)]).starts == [2, 4, 0]
    plan = serial(found, [(0,), (1,), (2,)])
    assert faults(found, plan) == []


def test_pinned_work_gets_somebody_if_somebody_is_there() -> None:
    crew = (person("Ali", at_work=0b0110),)
    steps = [Step(0, "a", "bay", 2, pinned=1), Step(1, "b", "lift", 1, pinned=5)]
    plan = serial(problem(*steps, crew=crew), [(), ()])
    assert (plan.starts, plan.who) == ([1, 5], [0, None])


def test_both_ways_of_building_end_with_the_horizon() -> None:
    found = problem(Step(0, "long", "bay", 5), days=1)
    for build in (partial(serial, found), partial(in_time, found)):
        with pytest.raises(HorizonError, match="no room for long within 4 slots"):
            build([()])


def test_the_order_of_ranks_decides_and_then_the_order_of_steps() -> None:
    steps = [Step(n, str(n), "bay", 1) for n in range(3)]
    assert serial(problem(*steps), [(2,), (0,), (1,)]).starts == [2, 0, 1]
    assert in_time(problem(*steps), [(2,), (0,), (1,)]).starts == [2, 0, 1]
    assert serial(problem(*steps), [(), (), ()]).starts == [0, 1, 2]
    assert in_time(problem(*steps), [(), (), ()]).starts == [0, 1, 2]


def test_work_beside_what_others_took_goes_round_it() -> None:
    found = problem(Step(0, "a", "bay", 2))
    there = Occupied(found)
    there.block("bay", 1, 2, None)
    assert serial(found, [()], there) == Plan([3], [None])
