"""Reminders of deposits and balances that are due: the day after, then weekly, three in all."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from shop.jobs import service as jobs
from shop.jobs.roles import THE_SYSTEM
from shop.jobs.states import State

from .account import account
from .models import DepositReminder, DepositRequest, Ledger
from .statements.matching import match_waiting

STEPS_DAYS = (1, 8, 15)
"""Days after the due date on which a reminder goes out."""
BALANCE = 10
"""What the steps of a balance's reminders are counted from; a deposit's are counted from nothing."""


def remind_deposits(*, today: date | None = None) -> list[DepositReminder]:
    """Promise a reminder for every deposit and balance that is due one; running it twice a day sends one.

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
    made += [_remind_balance(ledger, today) for ledger in _balances(today)]
    return [reminder for reminder in made if reminder]


def _balances(today: date) -> Iterable[Ledger]:
    """Return the ledgers of closed jobs with money still to come, whose first reminder is due."""
    late = today - timedelta(days=STEPS_DAYS[0])
    return Ledger.objects.filter(is_to_settle=True, outstanding_cents__gt=0, due_on__lte=late)


@transaction.atomic
def _remind_balance(ledger: Ledger, today: date) -> DepositReminder | None:
    job = jobs.locked(ledger.job_id)
    now = account(job, today)
    if now.request is None or not now.outstanding:
        return None
    step = BALANCE + sum(today >= ledger.due_on + timedelta(days=days) for days in STEPS_DAYS)
    reminder, made = DepositReminder.objects.get_or_create(request=now.request, step=step)
    if not made:
        return None
    jobs.promise_mail(job, "balance_reminder", reminder.pk)
    jobs.record(job, THE_SYSTEM, "money.balance_reminded", step=step - BALANCE)
    return reminder


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
