"""When an answer is due, calling off without a reason, days wished for early."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.conf import settings
from django.test import Client
from django.utils import timezone

from configurator.models import Workshop
from shop.jobs import service
from shop.jobs.agreement import answer_as_customer
from shop.jobs.signals import notices_of
from shop.jobs.states import State
from shop.models import ClosedDay, DateWish, Job, OpeningHours
from shop.planning.selectors import working_day_after
from tests.shop import factories
from tests.shop.tracking.conftest import questioned

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo(settings.TIME_ZONE)
THURSDAY = datetime(2026, 4, 30, 15, 0, tzinfo=ZONE)


def text_of(client: Client, job: Job) -> str:
    """Return the page."""
    return client.get(f"/job/{job.token}/").content.decode()


@pytest.fixture
def promising(workshop: Workshop) -> Workshop:
    """A workshop that answers within two working days."""
    workshop.answer_days = 2
    workshop.save()
    return workshop


def test_working_days_leave_out_weekends_and_closed_days(db: None) -> None:
    """30 April 2026 is a Thursday, 1 May a holiday in Germany (calendar)."""
    assert working_day_after(date(2026, 4, 30), 2) == date(2026, 5, 4)
    ClosedDay.objects.create(day=date(2026, 5, 1), name="Holiday")
    assert working_day_after(date(2026, 4, 30), 2) == date(2026, 5, 5)
    OpeningHours.objects.create(weekday=5, opens="08:00", closes="12:00", people=1)
    assert working_day_after(date(2026, 4, 30), 2) == date(2026, 5, 9)


def test_the_day_of_the_answer_is_said_and_being_late_is_said_truly(
    client: Client, promising: Workshop
) -> None:
    with time_machine.travel(THURSDAY, tick=False):
        job = factories.job()
        assert "We answer by Monday 4 May" in text_of(client, job)
    with time_machine.travel(THURSDAY + timedelta(days=4), tick=False):
        assert "We answer by" in text_of(client, job)
    with time_machine.travel(THURSDAY + timedelta(days=5), tick=False):
        text = text_of(client, job)
        assert "We answer by" not in text
        assert "We wanted to answer you by Monday 4 May 2026 and are late." in text
        assert promising.phone in text


@pytest.mark.long
def test_taken_into_review_the_day_stays_and_an_answer_begins_it_anew(
    client: Client, promising: Workshop, reviewer: Any
) -> None:
    with time_machine.travel(THURSDAY, tick=False):
        job = questioned(reviewer)
        assert "We answer by" not in text_of(client, job)  # it is their turn
    with time_machine.travel(THURSDAY + timedelta(days=7), tick=False):
        answer_as_customer(job_id=job.pk, answer="Yes, there is.")
        job.refresh_from_db()
        assert "We answer by Monday 11 May" in text_of(client, job)


def test_without_a_promise_no_day_is_said(client: Client, workshop: Workshop) -> None:
    assert "We answer by" not in text_of(client, factories.job())


def test_what_was_opened_again_was_promised_nothing(
    client: Client, promising: Workshop, reviewer: Any
) -> None:
    job = factories.job(state=State.DEPOSIT_DUE)
    service.reopen(job_id=job.pk, by=reviewer, why="A part is gone.")
    assert "We answer by" not in text_of(client, job)


def call_off(client: Client, job: Job, why: str = "") -> str:
    """Press the button that calls the job off."""
    data = {"cancel-why": why, "cancel-sure": "on"}
    return client.post(f"/job/{job.token}/cancel/", data, follow=True).content.decode()


@pytest.mark.long
def test_a_reason_is_asked_for_unless_the_terms_promise_otherwise(client: Client, workshop: Workshop) -> None:
    job = factories.job()
    assert "This field is required." in call_off(client, job)
    job.refresh_from_db()
    assert job.state == State.SENT

    workshop.cancel_freely = True
    workshop.save()
    assert "You need not give a reason." in text_of(client, job)
    assert "The job has been called off." in call_off(client, job)
    job.refresh_from_db()
    assert job.state == State.CANCELLED
    entry = job.history.get(to_state=State.CANCELLED)
    assert entry.why == ""
    assert entry.data["said"]["id"] == "no_reason_needed"
    assert "The reason:" not in text_of(client, job)


def test_a_reason_that_is_given_is_kept(client: Client, workshop: Workshop) -> None:
    workshop.cancel_freely = True
    workshop.save()
    job = factories.job()
    call_off(client, job, "We sold it.")
    entry = job.history.get(to_state=State.CANCELLED)
    assert entry.why == "We sold it."
    assert "said" not in entry.data


@pytest.mark.long
def test_days_may_be_wished_for_from_the_first_day_on(client: Client, workshop: Workshop) -> None:
    job = factories.job()
    day = timezone.localdate() + timedelta(days=30)
    client.post(f"/job/{job.token}/days/", {"days-first": day.isoformat(), "days-note": "Holiday then"})
    assert DateWish.objects.get().days == [day.isoformat()]
    text = text_of(client, job)
    assert "We fix the dates when all parts are here, and look at your days then." in text
    # Nobody can answer it yet: it asks once dates can be fixed.
    assert notices_of([job]) == {}
    Job.objects.update(state=State.PARTS_IN)
    job.refresh_from_db()
    found = notices_of([job])
    assert job.pk in found
    assert "look at your days then" not in text_of(client, job)


def test_staff_read_an_early_wish(client: Client, workshop: Workshop, reviewer: Any) -> None:
    job = factories.job()
    day = timezone.localdate() + timedelta(days=30)
    client.post(f"/job/{job.token}/days/", {"days-first": day.isoformat(), "days-note": "Holiday then"})
    client.force_login(reviewer)
    text = client.get(f"/workshop/jobs/{job.number}/dates/").content.decode()
    assert "Holiday then" in text
    assert f"{day:%-d}" in text
    assert "no room" not in text
