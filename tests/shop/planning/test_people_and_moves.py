"""People with hours, absences and skills, vehicles that are moved: every plan is checked slot by slot."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from shop.planning.dispatch import HorizonError, in_time, rank_rows, serial
from shop.planning.greedy import best_rule, plan_greedily
from shop.planning.problem import Link, Person, Plan, Problem, Step
from shop.planning.solver import plan_with_solver

from .cases import short_days, week_of_jobs
from .checker import faults

SKILLS = ("prep", "torque")


@st.composite
def crewed(draw: st.DrawFn) -> Problem:
    """Return up to six steps of three jobs for two or three people on one-hour days."""
    steps = draw(
        st.lists(
            st.builds(
                Step,
                job=st.integers(0, 2),
                key=st.just("step"),
                kind=st.sampled_from(["bay", "lift", "booth"]),
                length=st.integers(1, 3),
                release=st.integers(0, 3),
                skill=st.sampled_from(["", *SKILLS]),
            ),
            min_size=2,
            max_size=6,
        )
    )
    pairs = [(i, j) for j in range(len(steps)) for i in range(j) if steps[i].job == steps[j].job]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=4)) if pairs else []
    links = [Link(i, j, draw(st.sampled_from([0.0, 12.0]))) for i, j in chosen]
    calendar = short_days(8)
    everyone = (1 << len(calendar)) - 1
    crew = tuple(
        Person(f"p{n}", everyone & ~draw(st.integers(0, everyone)) | draw(st.sampled_from([0, everyone])),
               frozenset(draw(st.sets(st.sampled_from(SKILLS)))))
        for n in range(draw(st.integers(1, 3)))
    )  # fmt: skip
    places = {"bay": draw(st.integers(1, 2)), "lift": 1, "booth": 1}
    return Problem(calendar, places, steps, links, crew=crew, move=draw(st.integers(0, 2)))


@pytest.mark.long
@given(problem=crewed())
@settings(max_examples=80, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
def test_every_rule_keeps_people_places_and_moves(problem: Problem) -> None:
    planned = 0
    for ranks in rank_rows(problem).values():
        for build in (serial, in_time):
            try:
                plan = build(problem, ranks)
            except HorizonError:
                continue
            planned += 1
            assert faults(problem, plan) == []
    assume(planned)
    best = plan_greedily(problem, tries=30)
    assert faults(problem, best) == []
    assert problem.cost(best.starts) >= problem.least_cost


@pytest.mark.long
@given(problem=crewed())
@settings(max_examples=6, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
def test_the_solver_keeps_them_too_and_is_never_worse(problem: Problem) -> None:
    try:
        start = best_rule(problem)
    except HorizonError:
        assume(False)
    plan, _ = plan_with_solver(problem, seconds=5, workers=1, start=start)
    assert faults(problem, plan) == []
    assert problem.cost(plan.starts) <= problem.cost(start.starts)


def _two(**person: object) -> Problem:
    calendar = short_days(3)
    at_work = int(person.pop("at_work", (1 << 12) - 1))  # type: ignore[call-overload]
    steps = [Step(0, "a", "bay", 2, skill="torque"), Step(1, "b", "bay", 2, skill="prep")]
    crew = (Person("only", at_work, frozenset(person.pop("skills", ()))),)  # type: ignore[call-overload]
    return Problem(calendar, {"bay": 2}, steps, crew=crew)


def test_one_person_does_one_thing_at_a_time_though_two_bays_are_free() -> None:
    assert sorted(plan_greedily(_two()).starts) == [0, 2]


def test_nobody_is_planned_while_away() -> None:
    # Slots 0 to 3 are the first day; the person comes on the second.
    assert sorted(plan_greedily(_two(at_work=0b1111_0000)).starts) == [4, 6]


def test_the_solver_knows_when_people_are_away_and_come_back() -> None:
    from shop.planning.window import solve

    problem = _two(at_work=0b1111_1111_0011)  # away for slots 2 and 3
    late = Plan([8, 10], [0, 0])
    plan, proved = solve(problem, late, {0, 1}, seconds=10, workers=1)
    assert (sorted(plan.starts), plan.who, proved) == ([0, 4], [0, 0], True)


def test_who_can_do_less_is_asked_first_so_that_the_others_stay_free() -> None:
    both = (1 << 12) - 1
    steps = [Step(0, "a", "bay", 2, skill="prep"), Step(1, "b", "bay", 2, skill="torque")]
    crew = (Person("all", both), Person("prep only", both, frozenset({"prep"})))
    plan = plan_greedily(Problem(short_days(3), {"bay": 2}, steps, crew=crew))
    assert (plan.starts, plan.who) == ([0, 0], [1, 0])


@pytest.mark.parametrize(("second", "start"), [("bay", 2), ("lift", 3), ("booth", 2)])
def test_moving_a_vehicle_takes_a_slot_and_only_between_bay_and_lift(second: str, start: int) -> None:
    steps = [Step(0, "a", "bay", 2), Step(0, "b", second, 1)]
    problem = Problem(short_days(3), dict.fromkeys(("bay", "lift", "booth"), 1), steps, [Link(0, 1)], move=1)
    for plan in (plan_greedily(problem), plan_with_solver(problem, seconds=5, workers=1)[0]):
        assert plan.starts == [0, start]
        assert faults(problem, plan) == []


def test_a_vehicle_on_the_lift_is_missing_in_the_bay_also_while_it_is_moved() -> None:
    steps = [Step(0, "pinned", "lift", 2, pinned=4), Step(0, "other", "bay", 3)]
    problem = Problem(short_days(4), {"bay": 1, "lift": 1}, steps, move=1)
    plan = plan_greedily(problem)
    assert plan.starts[1] + 3 <= 3 or plan.starts[1] >= 7
    assert faults(problem, plan) == []


@pytest.mark.long
def test_windows_gain_on_a_crowded_week() -> None:
    """The solver, allowed only small windows, still betters a rule's plan; nothing that stands is moved."""
    from shop.planning.window import solve

    problem = week_of_jobs(8, 2)
    start = serial(problem, rank_rows(problem)["longest step"])
    freed = {index for index, step in enumerate(problem.steps) if step.job < 4}
    # It ends within a second by itself; a limit in seconds would depend on who else uses the machine.
    plan, _ = solve(problem, start, freed, seconds=120, workers=1)
    assert faults(problem, plan) == []
    assert problem.cost(plan.starts) < problem.cost(start.starts)
    stands = set(range(len(problem.steps))) - freed
    assert all(plan.starts[index] == start.starts[index] for index in stands)
