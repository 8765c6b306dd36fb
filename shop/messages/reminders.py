"""Reminders: each is promised once per due date, however often the day's run is repeated."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from shop.jobs.models import Job
from shop.jobs.roles import THE_SYSTEM
from shop.jobs.service import locked, promise_mail, record
from shop.jobs.states import State
from shop.money.models import DepositReminder
from shop.money.reminders import remind_deposits

from .models import Reminder

ANSWER_AFTER_DAYS = (3, 7, 14)
RECHECK_STILL_WORTH_DAYS = 14


def remind_all(today: date | None = None) -> int:
    """Promise everything that fell due and return how many mails that makes."""
    day = today or timezone.localdate()
    return sum(len(made) for made in (deposits(day), answers(day), rechecks(day), arrivals(day)))


def deposits(today: date) -> list[DepositReminder]:
    """Remind of deposits that are overdue; which and how often is the ledger's own rule."""
    return remind_deposits(today=today)


def answers(today: date) -> list[Reminder]:
    """Remind of answers that the workshop waits for: after three days, a week and a fortnight."""
    waiting = Job.objects.filter(state=State.WAITING)
    return _remind("answer_reminder", ((job, _step(job, today)) for job in waiting))


def _step(job: Job, today: date) -> date | None:
    """Return the newest due date that has come; after an outage only that one goes out."""
    asked = timezone.localdate(job.state_since)
    due = [asked + timedelta(days=days) for days in ANSWER_AFTER_DAYS]
    return max((day for day in due if day <= today), default=None)


def rechecks(today: date) -> list[Reminder]:
    """Remind of the check of wheel fasteners that falls due."""
    due = Job.objects.filter(
        state=State.HANDED_OVER,
        recheck_due_on__range=(today - timedelta(days=RECHECK_STILL_WORTH_DAYS), today),
    )
    return _remind("recheck_reminder", ((job, job.recheck_due_on) for job in due))


def arrivals(today: date) -> list[Reminder]:
    """Remind, the day before, that the vehicle is expected."""
    tomorrow = today + timedelta(days=1)
    due = Job.objects.filter(state=State.BOOKED, booked_start__date=tomorrow)
    return _remind("booked_reminder", ((job, tomorrow) for job in due))


def _remind(kind: str, due: Iterable[tuple[Job, date | None]]) -> list[Reminder]:
    made = [_once(job.pk, job.state, kind, day) for job, day in due if day]
    return [reminder for reminder in made if reminder]


@transaction.atomic
def _once(job_id: int, state: str, kind: str, due_on: date) -> Reminder | None:
    job = locked(job_id)
    if job.state != state:
        return None
    reminder, made = Reminder.objects.get_or_create(job=job, kind=kind, due_on=due_on)
    if not made:
        return None
    promise_mail(job, kind, reminder.pk)
    record(job, THE_SYSTEM, f"message.{kind}", due_on=due_on.isoformat())
    return reminder
