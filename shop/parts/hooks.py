"""What a job's moves mean for its parts; connected in ``ShopConfig.ready``."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import F
from django.utils import timezone

from configurator.builds.evaluation import Evaluation
from shop.jobs.models import Job
from shop.jobs.said import PARTS_SHORT
from shop.jobs.states import State

from . import shortages
from .demand import WANTING, job_parts
from .listing import bought_in_vain, make_parts_list
from .models import OrderedFor
from .progress import follow_change, hold_or_release, missing_parts, promise_progress, unordered
from .stock import issue, release, reserve


def when_job_built(sender: object, job: Job, evaluation: Evaluation, **kwargs: Any) -> None:
    """Write the parts list of a job that was opened or amended."""
    make_parts_list(job=job, evaluation=evaluation)
    shortages.mark_job(job)
    follow_change(job=job)


def when_job_released(sender: object, job: Job, hold_id: str, **kwargs: Any) -> None:
    """Hold a job for parts that are short, if another hold stood in the way of that."""
    if hold_id != PARTS_SHORT and job.state in WANTING:
        hold_or_release(job.pk)


def when_asked_what_is_in_vain(
    sender: object, job: Job, evaluation: Evaluation, **kwargs: Any
) -> list[tuple[str, Decimal]]:
    """Answer what was bought for the job, cannot go back, and is not in another build."""
    return bought_in_vain(job=job, evaluation=evaluation)


def what_is_missing(sender: object, job: Job, **kwargs: Any) -> list[str]:
    """Answer what of the job's parts is not here yet, in words, one a line of the list."""
    return missing_parts(job=job)


def what_is_unordered(sender: object, job: Job, **kwargs: Any) -> list[str]:
    """Answer what of the job's parts is neither here nor on order, in words."""
    return unordered(job)


def when_parts_come(sender: object, jobs: list[Job], **kwargs: Any) -> dict[int, datetime]:
    """Answer by job when its last part on order should be here; what is overdue, not before tomorrow."""
    tomorrow = timezone.now() + timedelta(days=1)
    rows = OrderedFor.objects.filter(
        part__job__in=jobs,
        part__dropped=False,
        line__not_coming="",
        line__received__lt=F("line__quantity") - F("line__given_up"),
    ).values_list("part__job", "line__order__placed_at", "part__lead_time_days", "line__expected_on")
    found: dict[int, datetime] = {}
    for job_id, placed_at, days, told in rows:
        # A day that the supplier told counts before the usual lead time; work can begin the day after.
        usual = placed_at + timedelta(days=days)
        here = max(start_of_day(told + timedelta(days=1)) if told else usual, tomorrow)
        found[job_id] = max(found.get(job_id, here), here)
    return found


def when_job_moved(sender: object, job: Job, source: str, to: str, entry: Any, **kwargs: Any) -> None:
    """Reserve once the deposit is in, hand out when work starts, give free when the job is off."""
    if source in WANTING or to in WANTING:
        shortages.mark_job(job)
    if to == State.DEPOSIT_IN:
        reserve(skus=set(job_parts(job).values_list("sku", flat=True)))
        promise_progress([job.pk], f"deposit-{entry.pk}")
    elif to == State.IN_THE_BAY:
        if source == State.READY:
            promise_progress([job.pk], f"again-{entry.pk}")
        issue(job=job, by=entry.user)
    elif to in (State.CANCELLED, State.DECLINED) or (to == State.DEPOSIT_DUE and source != State.AGREED):
        # A deposit that is gone again gives the shelf free for jobs that are paid for.
        release(job=job)


def when_paper_is_looked_for(sender: object, number: str, **kwargs: Any) -> Any:
    """Answer with the jobs that a purchase order was placed for."""
    return OrderedFor.objects.filter(line__order__number=number).values("part__job_id")


def start_of_day(day: date) -> datetime:
    """Return the first moment of a day where the workshop is."""
    return timezone.make_aware(datetime.combine(day, time.min))
