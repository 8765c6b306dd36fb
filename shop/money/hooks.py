"""What a job's life means for its money; connected in ``ShopConfig.ready``."""

from __future__ import annotations

from typing import Any

from configurator.builds.evaluation import Evaluation
from shop.jobs.models import Job
from shop.jobs.states import State

from .deposits import make_deposit_request
from .ledger import settle


def when_job_priced(sender: object, job: Job, evaluation: Evaluation, **kwargs: Any) -> None:
    """Ask for the deposit of a job that was opened or amended."""
    make_deposit_request(job=job, evaluation=evaluation)


def when_job_moved(sender: object, job: Job, to: str, **kwargs: Any) -> None:
    """Move a job on whose deposit, just asked for, is nothing or came early."""
    if to == State.DEPOSIT_DUE:
        settle(job=job)
