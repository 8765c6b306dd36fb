"""What a job's moves mean for its parts; connected in ``ShopConfig.ready``."""

from __future__ import annotations

from typing import Any

from shop.jobs.models import Job
from shop.jobs.states import State

from .demand import job_parts
from .progress import promise_progress
from .stock import issue, release, reserve


def when_job_moved(sender: object, job: Job, to: str, entry: Any, **kwargs: Any) -> None:
    """Reserve once the deposit is in, hand out when work starts, give free when the job is off."""
    if to == State.DEPOSIT_IN:
        reserve(skus=set(job_parts(job).values_list("sku", flat=True)))
        promise_progress([job.pk], f"deposit-{entry.pk}")
    elif to == State.IN_THE_BAY:
        issue(job=job, by=entry.user)
    elif to in (State.CANCELLED, State.DECLINED):
        release(job=job)
