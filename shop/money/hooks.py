"""What a job's life means for its money; connected in ``ShopConfig.ready``."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from shop.jobs.models import Job
from shop.jobs.states import State

from .account import CALLED_OFF, account
from .deposits import make_deposit_request
from .ledger import refresh, settle
from .refunds import settle_called_off


def when_job_priced(sender: object, job: Job, evaluation: Evaluation, **kwargs: Any) -> None:
    """Ask for the deposit of a job that was opened or amended."""
    make_deposit_request(job=job, evaluation=evaluation)
    refresh(job)


def when_job_moved(sender: object, job: Job, to: str, **kwargs: Any) -> None:
    """Keep the ledger in step; say what is owed for a job that is off.

    A job whose deposit is nothing, or came early, moves on at once.
    """
    if to in CALLED_OFF:
        settle_called_off(job=job)
    elif to == State.DEPOSIT_DUE:
        settle(job=job)
    else:
        refresh(job)


def what_is_owed(sender: object, job: Job, **kwargs: Any) -> str:
    """Answer what is still to come when the vehicle is about to leave, or nothing."""
    now = account(job)
    if not now.outstanding or now.request is None:
        return ""
    amount = f"{now.outstanding:.2f} {now.request.currency}"
    return _("%(amount)s of the price has not been paid.") % {"amount": amount}
