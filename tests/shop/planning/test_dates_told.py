"""Fixing, moving and keeping dates: what the history says, what the customer is written, who is asked."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from django.utils import timezone

from configurator.outbox.models import OutboxEntry
from shop.jobs import service as jobs
from shop.jobs.errors import NotAllowedError, UnmetError
from shop.jobs.said import why_of
from shop.models import Absence, BrokenPromise, ClosedDay, DateWish, Job, OpeningHours, Person, PersonHours
from shop.planning.booking import fix_dates, keep_planned, say_no, take_back, wish_for_days
from shop.planning.dates import estimate, free_dates, gaps_for, on_day
from shop.planning.demo import make_demo_bays
from shop.planning.promises import settle_of_job, stand_by
from shop.planning.service import replan
from tests.shop import factories

pytestmark = pytest.mark.django_db
MONDAY_8 = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())
MONDAY, TUESDAY, WEDNESDAY, THURSDAY = (date(2026, 3, day) for day in (2, 3, 4, 5))


@pytest.fixture(autouse=True)
def _bays():
    make_demo_bays()


@pytest.fixture
def reviewer():
    return factories.staff("reviewer", name="mira")


def mail(job: Job, template: str) -> dict[str, object]:
    entry = OutboxEntry.objects.get(kind="job_mail", payload__job_id=job.pk, payload__template=template)
    return entry.payload


def asked_to_plan() -> int:
    return OutboxEntry.objects.filter(kind="replan").count()


def fresh(job: Job) -> Job:
    return Job.objects.get(pk=job.pk)


def moved(reviewer: object, *, tell: bool) -> Job:
    """Return a job fixed for Wednesday and moved to Thursday."""
    job = factories.job(state="parts_in")
    for day in (WEDNESDAY, THURSDAY):
        fix_dates(job_id=job.pk, day=day, by=reviewer, tell=tell, now=MONDAY_8)
    return fresh(job)


@pytest.mark.parametrize("tell", [True, False])
def test_a_move_is_written_down_whole(reviewer, tell: bool) -> None:
    job = moved(reviewer, tell=tell)
    entry = job.history.get(action="job.dates_moved")
    told = {
        key: [f"{datetime.fromisoformat(at).astimezone(MONDAY_8.tzinfo):%a %H:%M}" for at in entry.data[key]]
        for key in ("before", "after")
    }
    assert told == {"before": ["Wed 08:00", "Thu 09:00"], "after": ["Thu 08:00", "Fri 09:00"]}
    assert (entry.who, entry.user, why_of(entry)) == (
        "mira",
        reviewer,
        "" if tell else "The customer was not told by mail.",
    )
    if tell:
        assert mail(job, "dates_moved")["occasion"] == entry.pk
    # Booking and moving each make what was read before stale.
    assert job.version == factories.job(state="parts_in").version + 2
    assert (local(job.booked_start), local(job.promised_ready_at)) == ("Thu 08:00", "Fri 09:00")


def local(moment: datetime) -> str:
    return f"{timezone.localtime(moment):%a %H:%M}"


def test_a_day_without_a_promise_that_broke_is_not_moved_again_and_a_broken_one_is(reviewer) -> None:
    job = moved(reviewer, tell=False)
    assert not fix_dates(job_id=job.pk, day=THURSDAY, by=reviewer, tell=False, now=MONDAY_8)
    BrokenPromise.objects.create(job=job, because="closed", found_at=MONDAY_8, settled="holds")
    assert not fix_dates(job_id=job.pk, day=THURSDAY, by=reviewer, tell=False, now=MONDAY_8)
    broken = BrokenPromise.objects.create(job=job, because="closed", found_at=MONDAY_8)
    assert fix_dates(job_id=job.pk, day=THURSDAY, by=reviewer, tell=False, now=MONDAY_8)
    broken.refresh_from_db()
    assert (broken.settled, broken.settled_by) == ("rebooked", reviewer)
    assert broken.settled_at is not None


def test_each_deed_has_the_plan_made_anew(reviewer) -> None:
    OutboxEntry.objects.all().delete()
    job = factories.job(state="parts_in")
    fix_dates(job_id=job.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    assert asked_to_plan() == 1
    assert take_back(job_id=job.pk, by=reviewer, why="No room.", tell=False)
    assert job.history.last().why == "No room."
    assert not OutboxEntry.objects.filter(payload__template="dates_taken_back").exists()


def test_taking_back_is_for_reviewers_and_ends_what_broke(reviewer) -> None:
    job = moved(reviewer, tell=False)
    broken = BrokenPromise.objects.create(job=job, because="closed", found_at=MONDAY_8)
    with pytest.raises(NotAllowedError, match=r"^Taking dates back is for: manager, reviewer"):
        take_back(job_id=job.pk, by=factories.staff("buyer"), why="x", tell=False)
    take_back(job_id=job.pk, by=reviewer, why="No room.", tell=True)
    broken.refresh_from_db()
    assert broken.settled == "ended"
    assert mail(job, "dates_taken_back")["occasion"] == job.history.get(action="job.dates_taken_back").pk


def late_in_the_bay(reviewer: object) -> Job:
    """Return a job in the bay on Monday that the plan has ready only on Thursday."""
    job = factories.job(state="parts_in")
    replan(MONDAY_8)
    jobs.book(job_id=job.pk, by=reviewer)
    jobs.start_work(job_id=job.pk, by=factories.staff("technician"))
    OpeningHours.objects.all().delete()
    OpeningHours.objects.create(weekday=3, opens="08:00", closes="17:00", people=2)
    replan(MONDAY_8 + timedelta(minutes=5))
    return fresh(job)


@pytest.mark.parametrize("tell", [True, False])
def test_a_vehicle_in_the_bay_is_ready_later(reviewer, tell: bool) -> None:
    job = late_in_the_bay(reviewer)
    before, version = job.promised_ready_at, job.version
    ready = max(step.planned_free for step in job.operations.all())
    assert keep_planned(job_id=job.pk, by=reviewer, tell=tell)
    job.refresh_from_db()
    assert (job.promised_ready_at, job.version, job.state) == (ready, version + 1, "in_the_bay")
    assert ready > before
    entry = job.history.last()
    assert (entry.action, entry.who) == ("job.dates_moved", "mira")
    assert entry.data == {"before": before.isoformat(), "after": ready.isoformat()}
    sent = OutboxEntry.objects.filter(payload__template="dates_moved").values_list(
        "payload__occasion", flat=True
    )
    assert list(sent) == ([entry.pk] if tell else [])
    assert BrokenPromise.objects.get().settled == "rebooked"


def test_dates_that_the_plan_does_not_have_are_not_kept(reviewer) -> None:
    job = late_in_the_bay(reviewer)
    with pytest.raises(NotAllowedError, match=r"^Fixing dates is for: manager, reviewer"):
        keep_planned(job_id=job.pk, by=factories.staff("buyer"), tell=False)
    job.operations.filter(key="lacquer").update(planned_start=None)
    with pytest.raises(UnmetError, match="has no times") as refusal:
        keep_planned(job_id=job.pk, by=reviewer, tell=False)
    assert refusal.value.field == "day"
    # What is done already needs no time.
    job.operations.filter(key="lacquer").update(done_at=MONDAY_8)
    assert keep_planned(job_id=job.pk, by=reviewer, tell=False)


def test_what_a_customer_proposes_is_kept_in_their_words(reviewer) -> None:
    job = factories.job(state="booked")
    days = [THURSDAY, WEDNESDAY, THURSDAY, date(2026, 3, 6), date(2026, 3, 9)]
    wish = wish_for_days(job_id=job.pk, days=days, note=" mornings only ", now=MONDAY_8)
    assert wish.days == ["2026-03-05", "2026-03-04", "2026-03-06"]
    assert (wish.note, wish.made_at, wish.answer) == ("mornings only", MONDAY_8, "")
    entry = job.history.last()
    assert (entry.who, entry.action, entry.why) == ("customer", "job.days_proposed", "mornings only")
    assert entry.data == {"days": wish.days}
    with pytest.raises(UnmetError) as refusal:
        wish_for_days(job_id=job.pk, days=[WEDNESDAY, MONDAY], note="", now=MONDAY_8)
    assert str(refusal.value) == "The first day we can offer is 4 Mar 2026."
    with pytest.raises(UnmetError) as refusal:
        wish_for_days(job_id=job.pk, days=[], note="", now=MONDAY_8)
    assert refusal.value.field == "days"
    assert len(wish_for_days(job_id=job.pk, days=[THURSDAY], note="x" * 600, now=MONDAY_8).note) == 500

    with pytest.raises(NotAllowedError, match=r"^Answering a proposal is for: manager, reviewer"):
        say_no(wish_id=wish.pk, by=factories.staff("buyer"), why="Full.")
    with pytest.raises(UnmetError) as refusal:
        say_no(wish_id=wish.pk, by=reviewer, why=" ")
    assert refusal.value.field == "why"
    assert say_no(wish_id=wish.pk, by=reviewer, why=" The booth is full. ")
    entry = job.history.last()
    assert (entry.action, entry.why, entry.who) == ("job.days_declined", "The booth is full.", "mira")
    assert mail(job, "days_not_possible")["occasion"] == entry.pk
    wish.refresh_from_db()
    assert wish.answer == "no"
    assert wish.answered_at > wish.made_at


def test_a_wish_is_taken_with_the_date(reviewer) -> None:
    job, other = factories.job(state="parts_in"), factories.job(state="parts_in")
    for each in (job, other):
        wish_for_days(job_id=each.pk, days=[THURSDAY], note="", now=MONDAY_8)
    fix_dates(job_id=job.pk, day=THURSDAY, by=reviewer, tell=True, now=MONDAY_8)
    assert DateWish.objects.get(job=job).answered_at == MONDAY_8
    assert [DateWish.objects.get(job=each).answer for each in (job, other)] == ["taken", ""]


# Looking for a date.


def test_paint_that_dries_and_work_without_a_wait_are_ready_when_they_are() -> None:
    plan = (
        factories.step("strip"),
        factories.step("lacquer", resource="booth", wait_h=12.0, after=("strip",)),
    )
    job = factories.job(factories.evaluation(work=factories.work(plan), parts=()), state="parts_in")
    found = estimate(job, MONDAY_8)
    # An hour of stripping, an hour of lacquer, twelve hours to dry.
    assert (local(found.start), local(found.ready), found.day) == ("Mon 08:00", "Mon 22:00", MONDAY)
    plain = factories.job(factories.evaluation(work=factories.work(plan[:1]), parts=()), state="parts_in")
    assert local(estimate(plain, MONDAY_8).ready) == "Mon 09:00"


def alone(*names: str) -> None:
    """Have only these people work, Lena never on Wednesday morning."""
    for name in names:
        person = Person.objects.create(name=name)
        if name == "Lena":
            for day in range(5):
                begin = "13:00" if day == 2 else "08:00"
                PersonHours.objects.create(person=person, weekday=day, starts=begin, ends="17:00")


def short(**changes: object) -> Job:
    """Return a job of one hour in a bay."""
    found = factories.evaluation(work=factories.work((factories.step("strip"),)), parts=())
    return factories.job(found, **({"state": "parts_in"} | changes))


@pytest.mark.long
def test_a_date_needs_somebody_who_is_free(reviewer) -> None:
    alone("Lena")
    first, second = short(), short()
    fix_dates(job_id=first.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    step = first.operations.get()
    assert (local(step.planned_start), local(step.planned_end), step.person.name) == (
        "Wed 13:00",
        "Wed 14:00",
        "Lena",
    )
    # Two bays are free, but Lena is not.
    assert local(free_dates(second, MONDAY_8, count=1)[0].start) == "Wed 14:00"
    alone("Ruben")
    assert local(free_dates(second, MONDAY_8, count=1)[0].start) == "Wed 08:00"


def test_an_absence_lasts_to_its_last_day() -> None:
    alone("Ruben")
    Absence.objects.create(person=Person.objects.get(), first_day=WEDNESDAY, last_day=THURSDAY)
    assert local(free_dates(short(), MONDAY_8, count=1)[0].start) == "Fri 08:00"


def test_only_what_is_planned_and_still_to_come_stands_in_the_way(reviewer) -> None:
    for _ in range(2):
        other = short()
        fix_dates(job_id=other.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    job = short()
    assert local(free_dates(job, MONDAY_8, count=1)[0].start) == "Wed 09:00"
    Job.objects.filter(pk=other.pk).update(state="cancelled")
    assert local(free_dates(job, MONDAY_8, count=1)[0].start) == "Wed 08:00"
    Job.objects.filter(pk=other.pk).update(state="booked")
    other.operations.update(done_at=MONDAY_8)
    assert local(free_dates(job, MONDAY_8, count=1)[0].start) == "Wed 08:00"


def test_a_job_does_not_stand_in_its_own_way(reviewer) -> None:
    job = moved(reviewer, tell=False)
    found = free_dates(job, MONDAY_8, first=THURSDAY, count=1)[0]
    assert (found.start, found.ready) == (job.booked_start, job.promised_ready_at)
    gaps, plan, dates = on_day(job, MONDAY_8, THURSDAY)
    assert dates == found
    assert all(step.pinned is None for step in gaps.problem.steps)
    assert gaps.problem.calendar.start_of(min(plan.starts)) == found.start
    assert on_day(job, MONDAY_8, date(2026, 3, 7)) is None


def test_days_gone_by_are_never_offered_and_none_without_work() -> None:
    job = short()
    assert free_dates(job, MONDAY_8, first=date(2026, 2, 1), count=1)[0].day == MONDAY
    assert free_dates(job, MONDAY_8, first=THURSDAY, count=2)[0].day == THURSDAY
    idle = factories.job(factories.evaluation(work=None), state="parts_in")
    assert (free_dates(idle, MONDAY_8), gaps_for(idle, MONDAY_8), on_day(idle, MONDAY_8, THURSDAY)) == (
        [],
        None,
        None,
    )


def test_a_shut_half_year_is_looked_beyond() -> None:
    job = short()
    ClosedDay.objects.bulk_create(
        ClosedDay(day=MONDAY + timedelta(days=n), name="Rebuilding") for n in range(260)
    )
    assert estimate(job, MONDAY_8).day == MONDAY + timedelta(days=260)
    assert free_dates(job, MONDAY_8, count=1)[0].day == MONDAY + timedelta(days=260)


def test_standing_by_a_date_is_settled_by_whoever_does_it(reviewer) -> None:
    job = moved(reviewer, tell=False)
    row = BrokenPromise.objects.create(job=job, because="closed", found_at=MONDAY_8)
    assert stand_by(promise_id=row.pk, by=reviewer, note="x" * 400)
    row.refresh_from_db()
    assert (row.settled, row.settled_by, len(row.note)) == ("stood by", reviewer, 300)
    assert job.history.last().why == "x" * 400
    settle_of_job(job, "ended")
    row.refresh_from_db()
    assert row.settled == "stood by"
