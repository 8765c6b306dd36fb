"""What the plan's pages read: whose steps on which days, who is away, what a change would touch."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from shop.models import Absence, Bay, ClosedDay, DateWish, Job, JobOperation, OpeningHours, Person
from shop.planning.models import PersonHours
from shop.planning.selectors import (
    days_of_people,
    proposed_days,
    steps_between,
    touched_bookings,
    working_day_after,
)
from shop.planning.usual import make_usual_places
from tests.shop import factories

pytestmark = pytest.mark.django_db
MONDAY_8 = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())
MONDAY, TUESDAY, WEDNESDAY, THURSDAY = (date(2026, 3, day) for day in (2, 3, 4, 5))
MIDNIGHT = MONDAY_8 - timedelta(hours=8)
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


def planned(start: datetime, end: datetime, free: datetime | None = None, **changes: object) -> JobOperation:
    """Return the one step of a job in the plan, with these times."""
    state = changes.pop("state", "parts_in")
    found = factories.evaluation(work=factories.work((factories.step("strip"),)), parts=())
    row = factories.job(found, state=state).operations.get()
    times = {"planned_start": start, "planned_end": end, "planned_free": free or end}
    JobOperation.objects.filter(pk=row.pk).update(**times, **changes)
    return JobOperation.objects.get(pk=row.pk)


@pytest.mark.long
def test_a_step_is_seen_on_every_day_that_it_touches_its_wait_included() -> None:
    manager = factories.staff("manager")
    tuesday = MIDNIGHT + DAY
    until = planned(MONDAY_8, MONDAY_8 + HOUR, tuesday)
    over = planned(MONDAY_8 + HOUR, MONDAY_8 + 2 * HOUR, tuesday - timedelta(seconds=1))
    inside = planned(tuesday + 9 * HOUR, tuesday + 10 * HOUR)
    after = planned(tuesday + DAY, tuesday + DAY + HOUR)
    curing = planned(tuesday - 50 * DAY, tuesday - 50 * DAY + HOUR, tuesday + HOUR)
    assert list(steps_between(manager, TUESDAY, TUESDAY)) == [curing, until, inside]
    assert list(steps_between(manager, MONDAY, MONDAY)) == [curing, until, over]
    assert list(steps_between(manager, TUESDAY, WEDNESDAY)) == [curing, until, inside, after]


def test_a_longer_plan_takes_no_more_queries(django_assert_num_queries) -> None:
    make_usual_places()
    manager, lena = factories.staff("manager"), Person.objects.create(name="Lena")
    for hours in range(3):
        at = MONDAY_8 + hours * HOUR
        planned(at, at + HOUR, person=lena, bay=Bay.objects.first())
    list(steps_between(manager, TUESDAY, TUESDAY))  # its roles are known from here on
    with django_assert_num_queries(2):
        rows = list(steps_between(manager, MONDAY, MONDAY))
        told = [(row.bay.name, row.person.name, row.job.spec.name, row.job.revision.number) for row in rows]
    assert told == [("Bay 1", "Lena", "Red van", 1)] * 3


def test_only_steps_of_jobs_that_this_person_sees_are_shown() -> None:
    agreed = planned(MONDAY_8, MONDAY_8 + HOUR, state="agreed")
    waiting = planned(MONDAY_8 + HOUR, MONDAY_8 + 2 * HOUR)
    planned(MONDAY_8 + HOUR, MONDAY_8 + 2 * HOUR, state="cancelled")

    def seen(role: str) -> list[JobOperation]:
        return list(steps_between(factories.staff(role), MONDAY, MONDAY))

    assert (seen("reviewer"), seen("technician")) == ([agreed, waiting], [waiting])


def test_each_persons_days_have_their_steps_or_why_they_are_away() -> None:
    lena, timo = Person.objects.create(name="Lena"), Person.objects.create(name="Timo")
    Person.objects.create(name="Gone", is_active=False)
    Absence.objects.create(person=lena, first_day=WEDNESDAY, last_day=THURSDAY, why="course")
    Absence.objects.create(person=timo, first_day=MONDAY - 3 * DAY, last_day=MONDAY)
    Absence.objects.create(person=timo, first_day=THURSDAY, last_day=THURSDAY + DAY, why="later")
    early = planned(MONDAY_8, MONDAY_8 + HOUR, person=lena)
    # Begun on Monday, gone on with on Tuesday; on Wednesday it only dries.
    long = planned(MONDAY_8 + 8 * HOUR, MONDAY_8 + DAY + HOUR, MONDAY_8 + 2 * DAY, person=lena)
    planned(MONDAY_8, MONDAY_8, MONDAY_8 + DAY, person=lena)  # nobody's hands are on what only waits
    planned(MONDAY_8, MONDAY_8 + HOUR)  # nobody in particular
    found = days_of_people(factories.staff("manager"), [WEDNESDAY, MONDAY, TUESDAY])
    assert [(person, [row.day for row in rows]) for person, rows in found] == [
        (lena, [MONDAY, TUESDAY, WEDNESDAY]),
        (timo, [MONDAY, TUESDAY, WEDNESDAY]),
    ]
    assert [[row.steps for row in rows] for _, rows in found] == [[[early, long], [long], []], [[], [], []]]
    assert [[row.away for row in rows] for _, rows in found] == [["", "", "course"], ["–", "", ""]]
    assert {row.person for row in found[0][1]} == {lena}


def test_work_that_ends_at_midnight_is_not_on_the_next_day() -> None:
    lena = Person.objects.create(name="Lena")
    step = planned(MIDNIGHT + 23 * HOUR, MIDNIGHT + DAY, person=lena)
    [(_, rows)] = days_of_people(factories.staff("manager"), [MONDAY, TUESDAY])
    assert [row.steps for row in rows] == [[step], []]


@pytest.mark.long
def test_what_a_change_would_touch_is_named_once_the_earliest_first() -> None:
    later = planned(MONDAY_8 + HOUR, MONDAY_8 + 2 * HOUR, state="booked")
    first = planned(MONDAY_8, MONDAY_8 + HOUR, state="booked")
    twice = factories.job(state="booked")
    twice.operations.update(planned_start=MONDAY_8 + 2 * HOUR)
    planned(MONDAY_8, MONDAY_8 + HOUR)  # not booked yet
    planned(MONDAY_8, MONDAY_8 + HOUR, state="booked", done_at=MONDAY_8)
    numbers = [first.job.number, later.job.number, twice.number]
    assert touched_bookings(JobOperation.objects.all()) == numbers


def test_the_days_a_customer_proposes_stand_until_they_are_answered() -> None:
    job = factories.job(state="parts_in")
    assert proposed_days(job) == []
    DateWish.objects.create(job=job, days=["2026-03-02"], answer="no")
    assert proposed_days(job) == []
    DateWish.objects.create(job=job, days=["2026-03-05", "2026-03-04"])
    assert proposed_days(job) == [THURSDAY, WEDNESDAY]
    assert proposed_days(factories.job(state="parts_in")) == []


def test_working_days_are_counted_by_hours_and_closed_days() -> None:
    friday = date(2026, 3, 6)
    assert [working_day_after(friday, days) for days in (0, 1, 2)] == [
        friday,
        friday + 3 * DAY,
        friday + 4 * DAY,
    ]
    ClosedDay.objects.create(day=friday, name="Today, which is over anyway")
    ClosedDay.objects.create(day=friday + 3 * DAY, name="Fair")
    assert working_day_after(friday, 1) == friday + 4 * DAY
    OpeningHours.objects.create(weekday=5, opens=time(8), closes=time(12))
    assert working_day_after(friday, 2) == friday + 8 * DAY
    # A workshop that is shut for years gets a day all the same, and soon.
    ClosedDay.objects.bulk_create(
        ClosedDay(day=friday + n * DAY, name="Rebuilding") for n in (*range(1, 3), *range(4, 900))
    )
    assert friday + 300 * DAY < working_day_after(friday, 1) < friday + 900 * DAY


def test_the_usual_places_and_hours_are_entered_only_where_there_are_none() -> None:
    make_usual_places()
    assert [(bay.name, bay.kind) for bay in Bay.objects.order_by("position")] == [
        ("Bay 1", "bay"),
        ("Lift 1", "lift"),
        ("Bench 1", "bench"),
    ]
    halves = [(time(8), time(12), 1), (time(13), time(17), 1)]
    week = [(day, *half) for day in range(5) for half in halves]
    hours = OpeningHours.objects.order_by("weekday", "opens")
    assert list(hours.values_list("weekday", "opens", "closes", "people")) == week
    Bay.objects.exclude(kind="lift").delete()
    OpeningHours.objects.exclude(weekday=2).delete()
    make_usual_places()
    assert (Bay.objects.count(), OpeningHours.objects.count()) == (1, 2)


def test_hours_and_absences_do_not_end_before_they_begin() -> None:
    person = Person.objects.create(name="Lena")
    for make, field in (
        (lambda end: OpeningHours(weekday=0, opens=time(8), closes=end), "closes"),
        (lambda end: PersonHours(person=person, weekday=0, starts=time(8), ends=end), "ends"),
    ):
        make(time(8, 1)).full_clean()
        for end in (time(8), time(7)):
            with pytest.raises(ValidationError) as refusal:
                make(end).full_clean()
            assert list(refusal.value.message_dict) == [field]
    Absence(person=person, first_day=MONDAY, last_day=MONDAY).full_clean()
    with pytest.raises(ValidationError) as refusal:
        Absence(person=person, first_day=TUESDAY, last_day=MONDAY).full_clean()
    assert list(refusal.value.message_dict) == ["last_day"]


def test_what_a_person_can_do_is_a_stage_of_work() -> None:
    Person(name="Lena", skills=["torque", "lacquer"]).full_clean()
    Person(name="All of it", skills=[]).full_clean()
    with pytest.raises(ValidationError) as refusal:
        Person(name="Lena", skills=["torque", "juggling"]).full_clean()
    assert list(refusal.value.message_dict) == ["skills"]


def test_the_rows_name_themselves() -> None:
    job = Job(number="K-1")
    lena = Person(name="Lena")
    assert [
        str(each)
        for each in (
            OpeningHours(weekday=0, opens=time(8), closes=time(12)),
            PersonHours(person=lena, weekday=1, starts=time(8), ends=time(12, 30)),
            Absence(person=lena, first_day=MONDAY, last_day=TUESDAY),
            ClosedDay(day=MONDAY, name="Fair"),
            DateWish(job=job, days=["2026-03-02", "2026-03-03"]),
        )
    ] == [
        "Monday 08:00 to 12:00",
        "Tuesday 08:00 to 12:30",
        "Lena 2026-03-02 to 2026-03-03",
        "2026-03-02 Fair",
        f"{job}: 2026-03-02, 2026-03-03",
    ]
