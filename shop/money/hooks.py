"""What a job's life means for its money; connected in ``ShopConfig.ready``."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from configurator.builds.evaluation import Evaluation
from shop.jobs.models import Job
from shop.jobs.said import DEPOSIT_GONE, MORE_DEPOSIT, Kept, say
from shop.jobs.states import State

from .account import CALLED_OFF, account
from .deposits import make_deposit_request
from .invoices import credit_if_other, invoice_at_handover
from .ledger import hold_for_more, hold_that_waited, refresh, settle
from .models_ledger import Ledger
from .refunds import settle_called_off


def when_job_priced(sender: object, job: Job, evaluation: Evaluation, **kwargs: Any) -> None:
    """Ask for the deposit of a job that was opened or amended; an invoice of another price is taken back."""
    make_deposit_request(job=job, evaluation=evaluation)
    now = refresh(job)
    credit_if_other(job, now, _("The job was changed."))
    hold_for_more(job=job, now=now)


def when_job_moved(sender: object, job: Job, to: str, entry: Any, **kwargs: Any) -> None:
    """Keep the ledger in step; say what is owed for a job that is off.

    A job whose deposit is nothing, or came early, moves on at once.
    """
    if to in CALLED_OFF:
        settle_called_off(job=job)
    elif to == State.DEPOSIT_DUE:
        settle(job=job)
    else:
        refresh(job)
    if to == State.HANDED_OVER:
        invoice_at_handover(job, entry.user)


def when_job_released(sender: object, job: Job, hold_id: str, **kwargs: Any) -> None:
    """Hold a job for its deposit after all, if another hold stood in the way of that."""
    if hold_id not in (DEPOSIT_GONE, MORE_DEPOSIT):
        hold_that_waited(job)


def what_is_owed(sender: object, job: Job, **kwargs: Any) -> Kept | None:
    """Answer what is still to come when the vehicle is about to leave, or nothing."""
    now = account(job)
    if not now.outstanding or now.request is None:
        return None
    return say("not_paid", money=[f"{now.outstanding:.2f}", now.request.currency])


def when_asked_what_is_to_settle(sender: object, **kwargs: Any) -> list[Any]:
    """Answer with closed jobs that owe, are owed, or have no invoice yet, the oldest first."""
    rows = Ledger.objects.order_by("job_id")
    return [rows.filter(is_to_settle=True), rows.filter(is_to_invoice=True)]
