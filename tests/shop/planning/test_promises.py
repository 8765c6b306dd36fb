"""What a closed day, a sick person, a late part or a shut bay does to fixed dates: nothing is dropped."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from configurator.outbox.models import OutboxEntry
from shop.jobs import service as jobs
from shop.jobs.errors import NotAllowedError
from shop.jobs.signals import Notice, notices_of, parts_expected
from shop.models import (
    Absence,
    Bay,
    BrokenPromise,
    ClosedDay,
    DateWish,
    Job,
    JobOperation,
    OpeningHours,
    Person,
)
from shop.planning.booking import keep_planned
from shop.planning.demo import make_demo_bays
from shop.planning.promises import open_promises, stand_by
from shop.planning.service import replan
from tests.shop import factories

pytestmark = pytest.mark.django_db
MONDAY_8 = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())
MONDAY, TUESDAY = date(2026, 3, 2), date(2026, 3, 3)


@pytest.fixture(autouse=True)
def _bays():
    make_demo_bays()


def booked(*steps: Any, now: datetime = MONDAY_8) -> Job:
    """Return a job booked on what the plan gives it."""
    found = factories.evaluation(work=factories.work(steps)) if steps else None
    job = factories.job(found, state="parts_in")
    replan(now)
    jobs.book(job_id=job.pk, by=factories.staff("reviewer", name=f"r{job.pk}"))
    job.refresh_from_db()
    return job


def mails(job: Job) -> list[str]:
    rows = OutboxEntry.objects.filter(kind="job_mail", payload__job_id=job.pk)
    return [row.payload["template"] for row in rows]


def only() -> BrokenPromise:
    return open_promises().get()


def test_a_closed_day_breaks_the_promise_names_why_and_mails_nobody() -> None:
    job = booked()
    before = mails(job)
    ClosedDay.objects.create(day=MONDAY, name="Burst pipe")

    done = replan(MONDAY_8 - timedelta(minutes=1))

    row = only()
    assert done.broken == (job.number,)
    assert (row.job, row.because) == (job, "closed")
    assert (row.promised_start, row.promised_ready) == (job.booked_start, job.promised_ready_at)
    assert timezone.localtime(row.planned_start).date() == TUESDAY
    assert row.planned_ready > row.promised_ready
    job.refresh_from_db()
    assert job.booked_start == MONDAY_8  # what was promised stays what was promised
    assert mails(job) == before


@pytest.mark.long
def test_it_is_noted_once_and_settled_when_the_plan_keeps_it_again() -> None:
    booked()
    closed = ClosedDay.objects.create(day=MONDAY, name="Burst pipe")
    for _ in range(2):
        replan(MONDAY_8 - timedelta(minutes=1))
    row = only()
    closed.delete()
    JobOperation.objects.update(planned_start=None)
    assert replan(MONDAY_8 - timedelta(minutes=1)).broken == ()
    row.refresh_from_db()
    assert (row.settled, open_promises().count()) == ("holds", 0)


@pytest.mark.long
def test_a_sick_person_breaks_it_only_when_nobody_else_can() -> None:
    timo = Person.objects.create(name="Timo", skills=["torque", "wheels off"])
    Person.objects.create(name="Lena", skills=["book-in", "lacquer", "final check"])
    job = booked()
    done_by = {step.key: step.person.name for step in job.operations.select_related("person")}
    assert (done_by["wheels-off"], done_by["lacquer"]) == ("Timo", "Lena")
    Absence.objects.create(person=timo, first_day=MONDAY, last_day=MONDAY)
    ruben = Person.objects.create(name="Ruben")
    assert replan(MONDAY_8 - timedelta(minutes=1)).broken == ()
    assert job.operations.get(key="wheels-off").person == ruben

    Person.objects.filter(pk=ruben.pk).update(is_active=False)
    assert replan(MONDAY_8 - timedelta(minutes=1)).broken == (job.number,)
    assert only().because == "person"


@pytest.mark.long
def test_an_absence_of_one_day_is_over_the_day_after() -> None:
    person = Person.objects.create(name="Lena")
    Absence.objects.create(person=person, first_day=MONDAY, last_day=MONDAY)
    job = factories.job(state="parts_in")
    replan(MONDAY_8)
    first = min(step.planned_start for step in job.operations.all())
    assert timezone.localtime(first).date() == TUESDAY


def test_a_late_part_breaks_it_and_says_so() -> None:
    job = booked()
    here = MONDAY_8 + timedelta(days=3)

    def late(sender: object, jobs: list[Job], **kwargs: Any) -> dict[int, datetime]:
        return {job.pk: here}

    parts_expected.connect(late)
    try:
        replan(MONDAY_8 - timedelta(minutes=1))
    finally:
        parts_expected.disconnect(late)
    assert only().because == "parts"
    assert only().planned_start >= here


def test_work_not_begun_in_time_is_seen_at_once() -> None:
    job = booked()
    replan(MONDAY_8 + timedelta(hours=3))
    assert (only().job, only().because) == (job, "not begun")


def test_a_vehicle_in_the_bay_that_gets_late_is_seen_too() -> None:
    job = booked()
    jobs.start_work(job_id=job.pk, by=factories.staff("technician"))
    assert replan(MONDAY_8).broken == ()
    OpeningHours.objects.all().delete()
    OpeningHours.objects.create(weekday=3, opens="08:00", closes="17:00", people=2)
    assert replan(MONDAY_8 + timedelta(minutes=5)).broken == (job.number,)
    assert only().because == "before"


def test_a_vehicle_in_the_bay_begins_no_later_than_it_did_but_may_go_on_later() -> None:
    job = booked()
    jobs.start_work(job_id=job.pk, by=factories.staff("technician"))
    nine = MONDAY_8 + timedelta(hours=1)
    job.operations.filter(key="book-in").update(done_at=nine)
    # What is left begins at nine, after the day fixed, and is ready when it was promised.
    assert replan(nine).broken == ()
    left = job.operations.filter(done_at=None)
    assert min(step.planned_start for step in left) == nine
    assert max(step.planned_free for step in left) == job.promised_ready_at


def test_with_all_work_done_the_promise_stays_as_it_was() -> None:
    job = booked()
    jobs.start_work(job_id=job.pk, by=factories.staff("technician"))
    job.operations.update(done_at=MONDAY_8)
    BrokenPromise.objects.create(job=job, because="before", found_at=MONDAY_8)
    assert keep_planned(job_id=job.pk, by=factories.staff("reviewer"), tell=False)
    assert Job.objects.get(pk=job.pk).promised_ready_at == job.promised_ready_at
    assert not open_promises().exists()


def test_what_can_no_longer_be_planned_is_kept_in_sight() -> None:
    job = booked()
    Bay.objects.filter(kind="booth").update(is_open=False)
    done = replan(MONDAY_8 - timedelta(minutes=1))
    assert done.left_out == ((job.number, "place", "booth"),)
    assert only().because == "unplanned"
    assert not job.operations.exclude(planned_start=None).exists()


@pytest.mark.long
def test_standing_by_it_keeps_quiet_until_it_gets_worse() -> None:
    job = booked()
    ClosedDay.objects.create(day=MONDAY, name="Burst pipe")
    replan(MONDAY_8 - timedelta(minutes=1))
    with pytest.raises(NotAllowedError):
        stand_by(promise_id=only().pk, by=factories.staff("technician"), note="x")
    row = only()
    assert stand_by(promise_id=row.pk, by=factories.staff("manager"), note="We come in on Monday.")
    assert not stand_by(promise_id=row.pk, by=factories.staff("manager", name="m2"), note="again")
    assert replan(MONDAY_8 - timedelta(minutes=1)).broken == ()
    assert job.history.filter(action="job.date_stood_by").get().why == "We come in on Monday."
    ClosedDay.objects.create(day=TUESDAY, name="Still wet")
    assert replan(MONDAY_8 - timedelta(minutes=1)).broken == (job.number,)


def test_calling_the_job_off_settles_it() -> None:
    job = booked()
    ClosedDay.objects.create(day=MONDAY, name="Burst pipe")
    replan(MONDAY_8 - timedelta(minutes=1))
    jobs.cancel(job_id=job.pk, by=factories.staff("manager"), why="sold")
    assert BrokenPromise.objects.get().settled == "ended"


def test_rooms_below_hear_of_it() -> None:
    job, other = booked(), factories.job(state="parts_in")
    ClosedDay.objects.create(day=MONDAY, name="Burst pipe")
    replan(MONDAY_8 - timedelta(minutes=1))
    found = notices_of([job, other])
    assert list(found) == [job.pk]
    notice = found[job.pk][0]
    assert isinstance(notice, Notice)
    assert "the workshop is closed then" in notice.text
    assert notice.address.endswith(f"/jobs/{job.number}/dates/")
    DateWish.objects.create(job=job, days=["2026-03-09"])
    assert len(notices_of([job, other])[job.pk]) == 2
