"""Reminders: each once per due date, only while it still applies."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.jobs.states import State
from shop.messages import reminders
from shop.messages.models import OutgoingMail, Reminder
from tests.shop import factories

pytestmark = pytest.mark.django_db
TODAY = date(2027, 3, 10)


def at(day: date, hour: int = 12) -> datetime:
    """Return a moment of a day at the workshop."""
    return timezone.make_aware(datetime.combine(day, time(hour)))


def promised(kind: str) -> int:
    """Return how many mails of a kind were promised."""
    return OutboxEntry.objects.filter(kind="job_mail", payload__template=kind).count()


def test_an_overdue_answer_is_asked_for_after_three_days_a_week_and_a_fortnight() -> None:
    factories.job(state=State.WAITING, state_since=at(TODAY))

    sent = [
        len(reminders.answers(TODAY + timedelta(days=after))) for after in range(30) for _twice in range(2)
    ]

    days = [index // 2 for index, number in enumerate(sent) if number]
    assert days == [3, 7, 14]
    assert sum(sent) == 3
    assert promised("answer_reminder") == 3


def test_after_an_outage_only_the_newest_reminder_goes_out() -> None:
    factories.job(state=State.WAITING, state_since=at(TODAY))
    assert len(reminders.answers(TODAY + timedelta(days=20))) == 1
    assert len(reminders.answers(TODAY + timedelta(days=21))) == 0


def test_a_recheck_is_reminded_of_on_its_day_and_not_of_old() -> None:
    for number, due in enumerate((TODAY, TODAY + timedelta(days=1), TODAY - timedelta(days=15))):
        factories.job(
            state=State.HANDED_OVER, recheck_due_on=due, handed_over_at=at(TODAY), number=f"R{number}"
        )
    assert [r.due_on for r in reminders.rechecks(TODAY)] == [TODAY]
    assert reminders.rechecks(TODAY) == []
    assert [r.due_on for r in reminders.rechecks(TODAY + timedelta(days=1))] == [TODAY + timedelta(days=1)]


def test_the_day_before_the_vehicle_is_due_is_reminded_of_once() -> None:
    factories.job(state=State.BOOKED, booked_start=at(TODAY + timedelta(days=1), 8))
    assert len(reminders.arrivals(TODAY)) == 1
    assert reminders.arrivals(TODAY) == []
    assert reminders.arrivals(TODAY - timedelta(days=1)) == []


def test_a_job_that_moved_on_is_not_reminded() -> None:
    factories.job(state=State.IN_REVIEW, state_since=at(TODAY))
    factories.job(state=State.IN_THE_BAY, booked_start=at(TODAY + timedelta(days=1)))
    assert reminders.answers(TODAY + timedelta(days=3)) == []
    assert reminders.arrivals(TODAY) == []


def test_an_overdue_deposit_is_reminded_of_by_the_ledgers_rule() -> None:
    job = factories.job(state=State.DEPOSIT_DUE)
    due = job.deposit_requests.get().due_on
    assert reminders.deposits(due) == []
    assert len(reminders.deposits(due + timedelta(days=1))) == 1
    assert reminders.deposits(due + timedelta(days=1)) == []
    assert promised("deposit_reminder") == 1


def test_the_command_sends_what_is_due_and_the_same_day_nothing_again(
    django_capture_on_commit_callbacks: Any, mailoutbox: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        factories.job(state=State.HANDED_OVER, recheck_due_on=timezone.localdate())
    mailoutbox.clear()
    said = []
    for _run in range(2):
        out = StringIO()
        with django_capture_on_commit_callbacks(execute=True):
            call_command("send_reminders", stdout=out)
        said.append(out.getvalue())

    assert said[0].startswith("1 reminders")
    assert said[1].startswith("0 reminders")
    (mail,) = mailoutbox
    assert "50 to 100 km" in " ".join(mail.body.split())
    assert Reminder.objects.count() == 1
    assert OutgoingMail.objects.filter(kind="recheck_reminder", state="sent").count() == 1
