"""From jobs to a problem: what is left to do, from when, after what, and what stays fixed."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from shop.jobs.signals import parts_expected
from shop.models import (
    Absence,
    Bay,
    ClosedDay,
    Job,
    JobOperation,
    OpeningHours,
    Person,
    PersonHours,
    PlanRules,
)
from shop.planning.crew import load_crew, people_in_order
from shop.planning.demo import make_demo_bays
from shop.planning.loading import Loaded, calendar_from, lead_times, load, parts_here_by, places, planned_jobs
from shop.planning.problem import Link
from tests.shop import factories

pytestmark = pytest.mark.django_db
MONDAY_8 = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())
MONDAY = date(2026, 3, 2)
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def _bays():
    make_demo_bays()


def made(*steps: Any, state: str = "parts_in", **changes: object) -> Job:
    found = factories.evaluation(work=factories.work(steps), parts=changes.pop("parts", ()))
    return factories.job(found, state=state, **changes)


def step(key: str, **changes: Any) -> Any:
    return factories.step(key, **changes)


def seen(loaded: Loaded) -> list[tuple[str, str, int, int, int | None, str]]:
    return [
        (row.key, each.kind, each.length, each.release, each.pinned, each.skill)
        for row, each in zip(loaded.operations, loaded.problem.steps, strict=True)
    ]


def test_what_is_left_to_do() -> None:
    job = made(
        step("strip", hands_on_h=1.1),
        step("prime", resource="booth", stage="prime", wait_h=2.0, after=("strip",)),
        step("check", resource="lift", stage="torque", after=("strip", "prime")),
    )
    found = load(MONDAY_8)
    assert seen(found) == [
        ("strip", "bay", 5, 0, None, "prep"),
        ("prime", "booth", 4, 0, None, "prime"),
        ("check", "lift", 4, 0, None, "torque"),
    ]
    assert found.problem.links == [Link(0, 1), Link(0, 2), Link(1, 2, 2.0)]
    assert found.problem.tails == {0: 0.0, 1: 2.0, 2: 0.0}
    assert (found.problem.places, found.problem.move, found.problem.due) == (places(), 1, {})
    assert found.jobs == {job.pk: job}
    assert {each.job for each in found.problem.steps} == {job.pk}
    assert [each.key for each in found.problem.steps] == [row.name for row in found.operations]


def test_a_move_takes_whole_slots() -> None:
    PlanRules.objects.create(move_minutes=20)
    assert load(MONDAY_8).problem.move == 2


def test_waits_go_through_steps_without_hands_and_the_longest_way_counts() -> None:
    made(
        step("paint", wait_h=1.0),
        step("cure", hands_on_h=0.0, wait_h=12.0, after=("paint",)),
        step("rest", hands_on_h=0.0, wait_h=3.0, after=("paint", "cure", "unheard-of")),
        step("refit", after=("rest", "paint")),
        step("dry", hands_on_h=0.0, wait_h=5.0, after=("refit",)),
    )
    found = load(MONDAY_8)
    assert [row.key for row in found.operations] == ["paint", "refit"]
    assert [row.key for row in found.handless] == ["cure", "rest", "dry"]
    assert found.problem.links == [Link(0, 1, 1.0 + 12.0 + 3.0)]
    # Painting alone keeps the vehicle until what waits after it is over.
    assert found.problem.tails == {0: 16.0, 1: 5.0}


def test_of_several_waits_behind_the_last_hands_the_longest_keeps_the_job() -> None:
    made(
        step("paint", wait_h=1.0),
        step("cure", hands_on_h=0.0, wait_h=12.0, after=("paint",)),
        step("air", hands_on_h=0.0, wait_h=3.0, after=("paint",)),
        step("wash", after=("paint",)),
        step("bond", wait_h=8.0, after=("wash",)),
        step("settle", hands_on_h=0.0, wait_h=2.0, after=("wash",)),
        step("rest", hands_on_h=0.0, wait_h=4.0, after=("wash",)),
    )
    assert load(MONDAY_8).problem.tails == {0: 13.0, 1: 4.0, 2: 8.0}


def test_what_is_done_is_left_out_and_its_wait_runs_from_when_it_was_done() -> None:
    job = made(step("paint", wait_h=2.0), step("cure", hands_on_h=0.0, wait_h=1.0, after=("paint",)),
               step("refit", after=("paint",)), step("wash", after=("cure",)))  # fmt: skip
    job.operations.filter(key="paint").update(done_at=MONDAY_8)
    found = load(MONDAY_8)
    # Two hours from eight is slot 8; three are slot 12.
    assert [(key, release) for key, _, _, release, _, _ in seen(found)] == [("refit", 8), ("wash", 12)]
    assert found.problem.links == []
    job.operations.filter(key="paint").update(is_skipped=True)
    assert [(key, release) for key, _, _, release, _, _ in seen(load(MONDAY_8))] == [
        ("refit", 0),
        ("wash", 0),
    ]
    job.operations.filter(key="cure").update(done_at=MONDAY_8)
    found = load(MONDAY_8)
    assert found.handless == []
    assert [release for _, _, _, release, _, _ in seen(found)] == [0, 4]


@pytest.mark.parametrize("state", ["agreed", "deposit_due", "deposit_in", "parts_on_order", "parts_in"])
def test_work_begins_when_the_parts_can_be_here(state: str) -> None:
    job = made(step("strip"), state=state, parts=(factories.part(lead_time_days=5), factories.part("b")))
    Job.objects.update(state_since=MONDAY_8 - timedelta(days=1))
    job.refresh_from_db()
    waits = {"agreed": 7, "deposit_due": 7, "deposit_in": 5, "parts_on_order": 4, "parts_in": 0}[state]
    leads = lead_times([job])
    assert leads == ({} if state == "parts_in" else {job.pk: timedelta(days=5)})
    here = parts_here_by(job, MONDAY_8, timedelta(days=5))
    assert here == MONDAY_8 + timedelta(days=waits)
    found = load(MONDAY_8)
    assert found.problem.steps[0].release == found.problem.calendar.slot_from(here)


def test_parts_that_are_overdue_are_not_here_before_now() -> None:
    job = made(step("strip"), state="parts_on_order")
    Job.objects.update(state_since=MONDAY_8 - timedelta(days=30))
    job.refresh_from_db()
    assert parts_here_by(job, MONDAY_8, timedelta(days=5)) == MONDAY_8
    assert parts_here_by(job, MONDAY_8, timedelta(0)) == MONDAY_8


def test_what_a_supplier_told_counts_before_the_work_begins_and_not_after() -> None:
    waiting, begun = made(step("strip")), made(step("strip"), state="in_the_bay")
    asked: list[list[Job]] = []

    def told(sender: object, jobs: list[Job], **kwargs: Any) -> dict[int, datetime]:
        asked.append(list(jobs))
        return {job.pk: MONDAY_8 + 3 * HOUR for job in jobs}

    parts_expected.connect(told)
    try:
        found = load(MONDAY_8)
    finally:
        parts_expected.disconnect(told)
    assert asked == [[waiting]]
    assert {each.job: each.release for each in found.problem.steps} == {waiting.pk: 12, begun.pk: 0}


def booked(**changes: object) -> Job:
    """Return a job booked from nine to ten on Monday and promised for eleven."""
    dates = {"booked_start": MONDAY_8 + HOUR, "promised_ready_at": MONDAY_8 + 3 * HOUR}
    job = made(step("strip"), state="booked", **(dates | changes))
    job.operations.update(planned_start=MONDAY_8 + HOUR, planned_end=MONDAY_8 + 2 * HOUR)
    return job


def test_a_booking_is_fixed_and_due() -> None:
    job = booked()
    found = load(MONDAY_8)
    assert seen(found) == [("strip", "bay", 4, 4, 4, "prep")]
    assert (found.problem.due, found.loosened) == ({job.pk: 12}, {})
    Job.objects.update(state="in_the_bay")
    found = load(MONDAY_8)
    assert seen(found) == [("strip", "bay", 4, 0, None, "prep")]
    assert found.problem.due == {job.pk: 12}
    Job.objects.update(state="parts_in")
    assert (load(MONDAY_8).problem.due, load(MONDAY_8).problem.steps[0].pinned) == ({}, None)


def test_a_booking_that_is_past_or_in_closed_time_is_let_go_with_why() -> None:
    booked()
    assert load(MONDAY_8 + HOUR).problem.steps[0].pinned == 4
    late = load(MONDAY_8 + HOUR + timedelta(minutes=15))
    assert (late.problem.steps[0].pinned, late.loosened) == (None, {0: "not begun"})
    ClosedDay.objects.create(day=MONDAY, name="Fair")
    shut = load(MONDAY_8)
    assert (shut.problem.steps[0].pinned, shut.loosened) == (None, {0: "closed"})
    JobOperation.objects.update(planned_start=None)
    assert load(MONDAY_8).loosened == {}
    JobOperation.objects.update(planned_start=MONDAY_8 + timedelta(days=400))
    assert load(MONDAY_8).loosened == {0: "closed"}


@pytest.mark.long
def test_what_can_never_be_done_here_is_left_out_with_why() -> None:
    job, fine = made(step("paint", resource="booth")), made(step("strip"))
    Bay.objects.filter(kind="booth").update(is_open=False)

    def left_out() -> list[tuple[Job, str, str]]:
        return load(MONDAY_8).left_out

    found = load(MONDAY_8)
    assert left_out() == [(job, "place", "booth")]
    assert [row.job_id for row in found.unplaced] == [job.pk]
    assert list(found.jobs) == [fine.pk]
    job.operations.update(done_at=MONDAY_8)
    assert left_out() == []
    job.operations.update(done_at=None, hands_on_h=0)
    assert left_out() == []
    person = Person.objects.create(name="Pia", skills=["colour"])
    assert left_out() == [(fine, "skill", "prep")]
    Person.objects.update(skills=[])
    PersonHours.objects.create(person=person, weekday=0, starts="08:00", ends="08:45")
    assert left_out() == [(fine, "hours", "Strip")]
    PersonHours.objects.update(ends="09:00")
    assert left_out() == []
    assert Person.objects.get() in people_in_order()


def test_a_job_without_steps_is_not_in_the_plan() -> None:
    factories.job(factories.evaluation(work=None), state="parts_in")
    found = load(MONDAY_8)
    assert (found.jobs, found.left_out, found.problem.steps) == ({}, [], [])


@pytest.mark.long
def test_the_plan_holds_agreed_work_until_it_is_ready_oldest_first() -> None:
    for state in ("sent", "in_review", "waiting", "ready", "handed_over", "declined", "cancelled"):
        factories.job(state=state)
    wanted = ["in_the_bay", "agreed", "deposit_due", "deposit_in", "parts_on_order", "parts_in", "booked"]
    made_jobs = [factories.job(state=state) for state in wanted]
    assert list(planned_jobs()) == made_jobs


def test_places_in_use_are_counted_and_without_any_one_of_each_is_there() -> None:
    Bay.objects.all().delete()
    for kind, is_open in (("bay", True), ("bay", True), ("bay", False), ("lift", True), ("booth", False)):
        Bay.objects.create(name=f"{kind} {Bay.objects.count()}", kind=kind, is_open=is_open)
    assert places() == {"bay": 2, "lift": 1}
    Bay.objects.update(is_open=False)
    assert places() == dict.fromkeys(Bay.Kind.values, 1)


def test_the_calendar_is_the_workshops_own() -> None:
    assert len(calendar_from(MONDAY_8, 7)) == len(calendar_from(MONDAY_8 + 9 * HOUR, 7)) > 0
    OpeningHours.objects.all().delete()
    OpeningHours.objects.create(weekday=1, opens="10:00", closes="11:00", people=3)
    ClosedDay.objects.create(day=date(2026, 3, 10), name="Fair")
    calendar = calendar_from(MONDAY_8, 14)
    assert [timezone.localtime(start) for start in calendar.starts[:1]] == [
        MONDAY_8 + timedelta(days=1, hours=2)
    ]
    assert (len(calendar), calendar.people) == (4, [3] * 4)


def test_people_work_in_their_own_hours_and_not_while_away() -> None:
    OpeningHours.objects.all().delete()
    for day in (0, 1):
        OpeningHours.objects.create(weekday=day, opens="08:00", closes="10:00", people=2)
    calendar = calendar_from(MONDAY_8, 2)
    assert load_crew(calendar) == ()
    early, always = Person.objects.create(name="Early", skills=["wash"]), Person.objects.create(name="Lo")
    Person.objects.create(name="Gone", is_active=False)
    PersonHours.objects.create(person=early, weekday=0, starts="08:00", ends="09:00")
    PersonHours.objects.create(person=early, weekday=1, starts="09:30", ends="12:00")
    Absence.objects.create(person=always, first_day=MONDAY, last_day=MONDAY)
    found = {each.name: each for each in load_crew(calendar)}
    assert set(found) == {"Early", "Lo"}
    assert found["Early"].at_work == 0b1100_0000_0000_1111
    assert (found["Early"].skills, found["Lo"].skills) == ({"wash"}, frozenset())
    assert found["Lo"].at_work == 0b1111_1111_0000_0000
    assert [each.name for each in load_crew(calendar)] == [row.name for row in people_in_order()]
