"""Free dates for one job among the others; fixing, moving and taking back; what a customer proposes."""

from __future__ import annotations

from datetime import date, datetime
from itertools import pairwise

import pytest
from django.utils import timezone

from configurator.outbox.models import OutboxEntry
from shop.jobs.errors import NotAllowedError, StaleError, UnmetError, WrongStateError
from shop.models import Bay, ClosedDay, DateWish, Job, JobOperation, PlanRules
from shop.planning.booking import fix_dates, keep_planned, say_no, take_back, wish_for_days
from shop.planning.dates import free_dates
from shop.planning.demo import make_demo_bays
from shop.planning.service import replan
from tests.shop import factories

pytestmark = pytest.mark.django_db
MONDAY_8 = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())
MONDAY, WEDNESDAY, THURSDAY = date(2026, 3, 2), date(2026, 3, 4), date(2026, 3, 5)


@pytest.fixture(autouse=True)
def _bays():
    make_demo_bays()


@pytest.fixture
def reviewer():
    return factories.staff("reviewer")


def mails(job: Job) -> list[str]:
    rows = OutboxEntry.objects.filter(kind="job_mail", payload__job_id=job.pk).order_by("pk")
    return [row.payload["template"] for row in rows]


def local(moment: datetime | None) -> str:
    return f"{timezone.localtime(moment):%a %d %H:%M}" if moment else "-"


def no_bay_twice() -> None:
    """Fail where one place holds two steps at once: looked at row by row."""
    for bay in Bay.objects.all():
        rows = list(bay.operations.filter(done_at=None).order_by("planned_start"))
        for first, then in pairwise(rows):
            assert first.planned_end <= then.planned_start, f"{bay} twice at {then.planned_start}"


def test_free_days_keep_the_minimum_notice_and_leave_out_closed_days() -> None:
    job = factories.job(state="parts_in")
    ClosedDay.objects.create(day=THURSDAY, name="Fair")
    found = free_dates(job, MONDAY_8, count=3)
    # Two days' notice: Wednesday; Thursday is closed; lacquer dries overnight, the final check takes an hour.
    assert [(local(each.start), local(each.ready)) for each in found] == [
        ("Wed 04 08:00", "Fri 06 09:00"),
        ("Fri 06 08:00", "Mon 09 09:00"),
        ("Mon 09 08:00", "Tue 10 09:00"),
    ]
    PlanRules.objects.create(minimum_notice_days=0)
    assert local(free_dates(job, MONDAY_8, count=1)[0].start) == "Mon 02 08:00"


@pytest.mark.long
def test_a_free_day_is_free_beside_everything_that_is_planned(reviewer) -> None:
    for _ in range(5):
        other = factories.job(state="parts_in")
        fix_dates(job_id=other.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    job = factories.job(state="parts_in")
    offered = free_dates(job, MONDAY_8)[0]
    fix_dates(job_id=job.pk, day=offered.day, by=reviewer, tell=False, now=MONDAY_8)
    job.refresh_from_db()
    assert (job.booked_start, job.promised_ready_at) == (offered.start, offered.ready)
    no_bay_twice()
    before = list(JobOperation.objects.order_by("pk").values_list("planned_start", flat=True))
    replan(MONDAY_8)
    assert list(JobOperation.objects.order_by("pk").values_list("planned_start", flat=True)) == before
    no_bay_twice()


@pytest.mark.long
def test_the_customer_is_told_only_where_a_person_says_so(reviewer) -> None:
    quiet, told = (factories.job(state="parts_in") for _ in range(2))
    fix_dates(job_id=quiet.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    fix_dates(job_id=told.pk, day=WEDNESDAY, by=reviewer, tell=True, now=MONDAY_8)
    assert "booked" not in mails(quiet)
    assert mails(told)[-1] == "booked"
    fix_dates(job_id=quiet.pk, day=THURSDAY, by=reviewer, tell=False, now=MONDAY_8)
    fix_dates(job_id=told.pk, day=THURSDAY, by=reviewer, tell=True, now=MONDAY_8)
    assert "dates_moved" not in mails(quiet)
    assert mails(told)[-1] == "dates_moved"


@pytest.mark.long
def test_moving_keeps_both_dates_in_the_history_and_again_changes_nothing(reviewer) -> None:
    job = factories.job(state="parts_in")
    assert fix_dates(job_id=job.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    assert fix_dates(job_id=job.pk, day=THURSDAY, by=reviewer, tell=False, now=MONDAY_8)
    assert not fix_dates(job_id=job.pk, day=THURSDAY, by=reviewer, tell=True, now=MONDAY_8)
    job.refresh_from_db()
    assert (job.state, local(job.booked_start)) == ("booked", "Thu 05 08:00")
    data = job.history.get(action="job.dates_moved").data
    days = [
        datetime.fromisoformat(data[key][0]).astimezone(MONDAY_8.tzinfo).date() for key in ("before", "after")
    ]
    assert days == [WEDNESDAY, THURSDAY]


def test_a_booking_that_never_had_dates_gets_some(reviewer) -> None:
    job = factories.job(state="booked")
    assert fix_dates(job_id=job.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    entry = job.history.get(action="job.dates_moved")
    assert entry.data["before"] == ["", ""]
    job.refresh_from_db()
    assert local(job.booked_start) == "Wed 04 08:00"


def test_what_does_not_go_is_said(reviewer) -> None:
    job = factories.job(state="parts_in")

    def fix(day: date, **more: object) -> bool:
        return fix_dates(job_id=job.pk, day=day, by=reviewer, tell=False, now=MONDAY_8, **more)  # type: ignore[arg-type]

    with pytest.raises(UnmetError, match="shorter notice"):
        fix(MONDAY)
    with pytest.raises(UnmetError, match="no room"):
        fix(date(2026, 3, 7))  # a Saturday
    with pytest.raises(StaleError):
        fix(WEDNESDAY, version=job.version + 1)
    with pytest.raises(NotAllowedError):
        fix_dates(job_id=job.pk, day=WEDNESDAY, by=factories.staff("technician"), tell=False, now=MONDAY_8)
    assert fix(MONDAY, short_notice=True)
    Job.objects.filter(pk=job.pk).update(state="in_the_bay")
    with pytest.raises(WrongStateError, match="once the parts are in and until the work begins"):
        fix(WEDNESDAY)


def test_dates_are_taken_back_with_a_reason(reviewer) -> None:
    job = factories.job(state="parts_in")
    fix_dates(job_id=job.pk, day=WEDNESDAY, by=reviewer, tell=True, now=MONDAY_8)
    with pytest.raises(UnmetError):
        take_back(job_id=job.pk, by=reviewer, why=" ", tell=True)
    assert take_back(job_id=job.pk, by=reviewer, why="The booth is broken.", tell=True)
    assert not take_back(job_id=job.pk, by=reviewer, why="again", tell=True)
    job.refresh_from_db()
    assert (job.state, job.booked_start, job.promised_ready_at) == ("parts_in", None, None)
    assert mails(job)[-1] == "dates_taken_back"
    assert "parts_in" not in mails(job)[-2:]


@pytest.mark.long
def test_a_broken_date_takes_the_plans_new_one(reviewer) -> None:
    job = factories.job(state="parts_in")
    fix_dates(job_id=job.pk, day=WEDNESDAY, by=reviewer, tell=False, now=MONDAY_8)
    assert not keep_planned(job_id=job.pk, by=reviewer, tell=True)
    ClosedDay.objects.create(day=WEDNESDAY, name="Burst pipe")
    replan(MONDAY_8)
    assert keep_planned(job_id=job.pk, by=reviewer, tell=True)
    job.refresh_from_db()
    assert local(job.booked_start) == "Thu 05 08:00"
    assert (mails(job)[-1], job.broken_promises.get().settled) == ("dates_moved", "rebooked")
    assert replan(MONDAY_8).broken == ()


def test_a_customer_proposes_days_and_staff_take_one_or_say_no(reviewer) -> None:
    job = factories.job(state="parts_in")
    with pytest.raises(UnmetError, match="first day"):
        wish_for_days(job_id=job.pk, days=[MONDAY], note="", now=MONDAY_8)
    with pytest.raises(UnmetError, match="at least one"):
        wish_for_days(job_id=job.pk, days=[], note="", now=MONDAY_8)
    first = wish_for_days(job_id=job.pk, days=[THURSDAY, WEDNESDAY, THURSDAY], note="mornings", now=MONDAY_8)
    again = wish_for_days(job_id=job.pk, days=[THURSDAY], note="", now=MONDAY_8)
    assert (first.pk, again.days) == (again.pk, ["2026-03-05"])
    with pytest.raises(UnmetError):
        say_no(wish_id=again.pk, by=reviewer, why="")
    assert say_no(wish_id=again.pk, by=reviewer, why="The booth is full; the week after is free.")
    assert not say_no(wish_id=again.pk, by=reviewer, why="again")
    assert mails(job)[-1] == "days_not_possible"
    wish_for_days(job_id=job.pk, days=[THURSDAY], note="", now=MONDAY_8)
    fix_dates(job_id=job.pk, day=THURSDAY, by=reviewer, tell=True, now=MONDAY_8)
    assert list(DateWish.objects.values_list("answer", flat=True)) == ["no", "taken"]
    Job.objects.filter(pk=job.pk).update(state="in_the_bay")
    with pytest.raises(WrongStateError, match="until the work begins"):
        wish_for_days(job_id=job.pk, days=[THURSDAY], note="", now=MONDAY_8)


@pytest.mark.long
def test_looking_for_a_date_stores_nothing_and_takes_few_queries(django_assert_max_num_queries) -> None:
    for _ in range(4):
        factories.job(state="parts_in")
    replan(MONDAY_8)
    job = factories.job(state="parts_in")
    with django_assert_max_num_queries(14):
        assert len(free_dates(job, MONDAY_8)) == 8
    assert not job.operations.exclude(planned_start=None).exists()


def test_a_day_that_nobody_plans_is_no_wish() -> None:
    job = factories.job(state="booked")
    with pytest.raises(UnmetError, match=r"^Name days until 1 Mar 2028\.$") as refused:
        wish_for_days(job_id=job.pk, days=[date(2026, 3, 5), date(9999, 3, 4)], note="", now=MONDAY_8)
    assert refused.value.field == "days"
    assert wish_for_days(job_id=job.pk, days=[date(2028, 3, 1)], note="", now=MONDAY_8).days == ["2028-03-01"]
