"""Reminders of deposits that are due: a gentle one on the day after, then weekly, three in all."""

from __future__ import annotations

from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from shop.jobs import service as jobs
from shop.jobs.roles import THE_SYSTEM
from shop.jobs.states import State

from .ledger import account
from .models import DepositReminder, DepositRequest
from .statements.matching import match_waiting

STEPS_DAYS = (1, 8, 15)
"""Days after the due date on which a reminder goes out."""


def remind_deposits(*, today: date | None = None) -> list[DepositReminder]:
    """Promise a reminder for every deposit that is due one; running it twice a day sends one.

    After an outage only the newest step that is due goes out, not all that were missed.
    """
    today = today or timezone.localdate()
    # Money that was dated ahead when its statement was read is booked before anyone is reminded of it.
    match_waiting(today=today)
    waiting = DepositRequest.objects.filter(
        superseded_at__isnull=True,
        job__state=State.DEPOSIT_DUE,
        due_on__lte=today - timedelta(days=STEPS_DAYS[0]),
    ).select_related("job")
    made = [_remind(request, today) for request in waiting]
    return [reminder for reminder in made if reminder]


@transaction.atomic
def _remind(request: DepositRequest, today: date) -> DepositReminder | None:
    if account(request.job, today).covered:
        return None
    step = sum(today >= request.due_on + timedelta(days=days) for days in STEPS_DAYS)
    reminder, made = DepositReminder.objects.get_or_create(request=request, step=step)
    if not made:
        return None
    job = jobs.locked(request.job_id)
    jobs.promise_mail(job, "deposit_reminder", reminder.pk)
    jobs.record(job, THE_SYSTEM, "money.deposit_reminded", step=step)
    return reminder
