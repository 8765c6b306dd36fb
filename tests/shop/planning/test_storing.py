"""From slots to rows: times, places that stay the same, people, waits without hands, the deciding chain."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from shop.models import Bay, JobOperation, Person
from shop.planning.loading import Loaded
from shop.planning.problem import Plan, Problem, Step
from shop.planning.storing import changed_rows, planned_fields

from .cases import ZONE, short_days

NINE = datetime(2026, 3, 2, 9, tzinfo=ZONE)
BAYS = [Bay(pk=n, name=f"Bay {n}", kind="bay", position=n) for n in (1, 2, 3)]
LIFT = Bay(pk=9, name="Lift", kind="lift", position=4)
PEOPLE = [Person(pk=21, name="Ali"), Person(pk=22, name="Bo")]


def row(job: int, key: str, *after: str, wait_h: float = 0.0, **changes: object) -> JobOperation:
    return JobOperation(job_id=job, key=key, after=list(after), wait_h=wait_h, **changes)


def loaded(*steps: tuple[JobOperation, str, int], handless: tuple[JobOperation, ...] = ()) -> Loaded:
    """Return what there is to plan: rows with the kind of place and the length of their steps."""
    problem = Problem(
        short_days(),
        {"bay": 3, "lift": 1},
        [Step(each.job_id, each.key, kind, length) for each, kind, length in steps],
    )
    return Loaded(problem, operations=[each for each, _, _ in steps], handless=list(handless))


def stored(
    found: Loaded, *starts: int, who: list[int | None] | None = None, **more: object
) -> list[JobOperation]:
    plan = Plan(list(starts), who or [None] * len(starts))
    return changed_rows(found, plan, [*BAYS, LIFT], PEOPLE, **more)  # type: ignore[arg-type]


def bays(found: Loaded) -> list[int | None]:
    return [each.bay_id for each in found.operations]


def test_a_row_gets_its_times_its_place_and_somebody() -> None:
    one = row(1, "strip", wait_h=2.5)
    found = loaded((one, "bay", 3))
    assert stored(found, 1, who=[1]) == [one]
    assert (one.planned_start, one.planned_end) == (NINE + timedelta(minutes=15), NINE + timedelta(hours=1))
    assert one.planned_free == NINE + timedelta(hours=3.5)
    assert (one.bay_id, one.person_id, one.is_critical) == (1, 22, True)
    # The same plan once more changes nothing; another person does.
    assert stored(found, 1, who=[1]) == []
    assert stored(found, 1, who=[0]) == [one]
    stored(found, 1)
    assert one.person_id is None
    assert planned_fields() == [
        "planned_start", "planned_end", "planned_free", "bay", "person", "is_critical",
    ]  # fmt: skip


def test_what_has_no_place_in_the_plan_loses_its_times() -> None:
    gone = row(1, "strip", planned_start=NINE, planned_end=NINE, planned_free=NINE, bay_id=1, person_id=21)
    gone.is_critical = True
    found = loaded()
    found.unplaced = [gone]
    assert stored(found) == [gone]
    fields = (gone.planned_start, gone.planned_end, gone.planned_free, gone.bay_id, gone.person_id)
    assert fields == (None,) * 5
    assert gone.is_critical is False


def test_a_wait_without_hands_begins_when_what_is_before_it_is_over() -> None:
    paint = row(1, "paint", wait_h=1.0)
    cure = row(1, "cure", "paint", wait_h=12.0)
    settle = row(1, "settle", "cure", "unknown", wait_h=0.5)
    alone = row(2, "rest", wait_h=1.0)
    known = row(3, "rest", wait_h=1.0, planned_start=NINE - timedelta(days=1))
    stored(loaded((paint, "bay", 2), handless=(cure, settle, alone, known)), 0, now=NINE)
    assert cure.planned_start == cure.planned_end == NINE + timedelta(hours=1.5)
    assert cure.planned_free == settle.planned_start == NINE + timedelta(hours=13.5)
    assert settle.planned_free == NINE + timedelta(hours=14)
    assert (alone.planned_start, alone.planned_free) == (NINE, NINE + timedelta(hours=1))
    assert known.planned_start == NINE - timedelta(days=1)


def test_of_several_before_it_the_last_decides() -> None:
    first, second = row(1, "a"), row(1, "b")
    after = row(1, "c", "a", "b", wait_h=1.0)
    stored(loaded((first, "bay", 1), (second, "bay", 3), handless=(after,)), 0, 0, now=NINE)
    assert after.planned_start == NINE + timedelta(minutes=45)


def test_a_bay_is_never_given_to_two_at_once() -> None:
    rows = [row(n, "strip") for n in range(4)]
    found = loaded(*((each, "bay", 2) for each in rows))
    stored(found, 0, 1, 1, 1)
    assert bays(found) == [1, 2, 3, None]  # a fourth at once has none
    stored(found, 0, 2, 4, 6)
    assert bays(found) == [1, 2, 3, 1]  # each where it was; the fourth once a bay is free again


def test_work_outside_the_plan_keeps_its_bay() -> None:
    def given(taken: dict[int, list[tuple[int, int]]]) -> list[int | None]:
        found = loaded((row(1, "strip"), "bay", 2))
        stored(found, 2, taken=taken)
        return bays(found)

    assert given({1: [(0, 2)]}) == [1]  # over when this begins
    assert given({1: [(4, 6)]}) == [1]  # begins when this is over
    assert given({1: [(0, 3)]}) == [2]
    assert given({1: [(3, 6)], 2: [(0, 9)]}) == [3]


def test_a_vehicle_stays_where_it_is_and_where_it_was() -> None:
    one, other, again = row(1, "a"), row(2, "b"), row(1, "c")
    found = loaded((one, "bay", 1), (other, "bay", 1), (again, "bay", 1))
    stored(found, 0, 0, 1)
    assert bays(found) == [1, 2, 1]
    # Its last place comes first even where it had another before; else the one it had.
    again.bay_id = 2
    stored(found, 0, 0, 1)
    assert bays(found) == [1, 2, 1]
    one.bay_id = 3
    stored(found, 0, 0, 1)
    assert bays(found) == [3, 2, 3]


def test_a_bay_that_its_vehicle_comes_back_to_soon_is_left_free_for_it() -> None:
    first, back, other = row(1, "a"), row(1, "b"), row(2, "c")
    found = loaded((first, "bay", 1), (back, "bay", 1), (other, "bay", 1))
    stored(found, 0, 4, 2)
    assert bays(found) == [1, 1, 2]
    # With the others taken it goes between; a vehicle that never comes back leaves its bay to anyone.
    stored(found, 0, 4, 2, taken={2: [(0, 9)], 3: [(0, 9)]})
    assert bays(found) == [1, 1, 1]
    free = loaded((row(1, "a"), "bay", 1), (row(2, "c"), "bay", 1))
    stored(free, 0, 2)
    assert bays(free) == [1, 1]


@pytest.mark.parametrize(("back", "bay"), [(33, 2), (34, 1)])
def test_within_a_working_day_is_soon(back: int, bay: int) -> None:
    # The other ends with slot 2, and eight hours are 32 slots.
    first, again, other = row(1, "a"), row(1, "b"), row(2, "c")
    steps = [Step(each.job_id, each.key, "bay", 1) for each in (first, again, other)]
    found = Loaded(Problem(short_days(20), {"bay": 2}, steps), operations=[first, again, other])
    stored(found, 0, back, 1)
    assert other.bay_id == bay


def test_each_kind_has_places_of_its_own() -> None:
    found = loaded((row(1, "a"), "lift", 1), (row(1, "b"), "bay", 1), (row(1, "c"), "", 1))
    stored(found, 0, 1, 2)
    assert bays(found) == [9, 1, None]


def test_the_chain_that_decides_the_end_is_marked_job_by_job() -> None:
    strip, paint, wheels = row(1, "strip"), row(1, "paint", "strip"), row(1, "wheels", "strip")
    check, cure = row(1, "check", "wheels", "cure"), row(1, "cure", "paint", wait_h=12.0)
    other = row(2, "strip")
    found = loaded(
        (strip, "bay", 1),
        (paint, "bay", 1),
        (wheels, "lift", 1),
        (check, "bay", 1),
        (other, "bay", 1),
        handless=(cure,),
    )
    stored(found, 0, 1, 1, 4, 0)
    marked = [each.key for each in (strip, paint, wheels, check, cure) if each.is_critical]
    assert marked == ["strip", "paint", "check", "cure"]
    assert other.is_critical
