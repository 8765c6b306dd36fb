"""What stock and orders mean for a job: what it lacks, what holds it up, and when it moves on.

Moving is promised through the outbox and done after the commit, so that whoever holds stock rows never
waits for a job's row; doing it twice does it once.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from configurator.outbox import service as outbox
from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.roles import THE_SYSTEM
from shop.jobs.said import PARTS_SHORT, Kept, say
from shop.jobs.states import State

from .demand import WANTING, Expected, Outlook, job_parts, open_claims, outlook, wanting_parts
from .models import JobPart, Reservation
from .names import named
from .quantities import NOTHING
from .stock import free_stock, issue, reserve

KIND = "parts_progress"


def promise_progress(jobs: Iterable[int], cause: str) -> None:
    """Have these jobs looked at after the commit; ``cause`` tells one occasion from another."""
    for job_id in sorted(jobs):
        outbox.promise(kind=KIND, key=f"{KIND}:{job_id}:{cause}", payload={"job_id": job_id})


@outbox.handles(KIND)
def keep_progress(payload: dict[str, Any]) -> None:
    """Move one job on if its parts allow it; a job that is gone or busy elsewhere is left alone."""
    advance(job_id=payload["job_id"])


def missing_parts(*, job: Job) -> list[str]:
    """Return what of the job's list is neither reserved on the shelf nor handed out, in words."""
    return [f"{_amount(part, lacking)} {named(part.item, part.name)}" for part, lacking in lacking_parts(job)]


def lacking_parts(job: Job) -> list[tuple[JobPart, Any]]:
    """Return the job's lines that are not complete, with the quantity each lacks."""
    parts = list(job_parts(job))
    held = dict(Reservation.objects.filter(part__in=parts).values_list("part", "quantity"))
    lacking = [(part, part.quantity - part.issued - held.get(part.pk, NOTHING)) for part in parts]
    return [(part, quantity) for part, quantity in lacking if quantity > 0]


def unordered(job: Job) -> list[str]:
    """Return what the job lacks that is neither free on the shelf nor on order, in words."""
    missing = [(view.claim.part, view.missing) for view in job_outlook(job) if view.missing > 0]
    return [f"{_amount(part, quantity)} {named(part.item, part.name)}" for part, quantity in missing]


def job_outlook(job: Job) -> list[Outlook]:
    """Return how what the job lacks will be met, other jobs' earlier claims served first."""
    skus = {part.sku for part, _ in lacking_parts(job)}
    claims = open_claims(skus)
    return [view for view in outlook(claims, free_stock(skus)) if view.claim.part.job_id == job.pk]


def shortages(job: Job) -> list[Kept]:
    """Return as sentences what will not be here in time: ordered late, or not coming and not ordered anew."""
    return [said for view in job_outlook(job) for said in _shortage(view)]


def _shortage(view: Outlook) -> list[Kept]:
    part, need_by = view.claim.part, view.claim.need_by
    found = []
    lacking = {"amount": _figures(part, view.missing), "part": part.name}
    if view.missing > 0 and part.orders.exclude(line__not_coming="", line__given_up=0).exists():
        found.append(say("not_as_ordered", **lacking))
    elif view.missing > 0 and need_by and (need_by < timezone.localdate() or part.job.state == State.BOOKED):
        found.append(say("not_ordered", **lacking, needed_day=need_by.isoformat()))
    if need_by:
        found += [said for supply in view.expected if (said := _late(part, supply, need_by))]
    return found


def _late(part: JobPart, supply: Expected, need_by: date) -> Kept | None:
    """Say that a supply comes too late: the day is past, or the supplier told a later one."""
    told = supply.line.expected_on
    if need_by >= timezone.localdate() and not (told and told > need_by):
        return None
    figures = {
        "amount": _figures(part, supply.quantity),
        "part": part.name,
        "order": supply.line.order.number,
        "needed_day": need_by.isoformat(),
    }
    return say("told_late", **figures, told_day=told.isoformat()) if told else say("late", **figures)


def _figures(part: JobPart, quantity: Decimal) -> list[str]:
    return [f"{quantity.normalize():f}", part.unit]


def _amount(part: JobPart, quantity: Any) -> str:
    unit = "×" if part.unit == "each" else part.unit
    return f"{quantity.normalize():f} {unit}"


@transaction.atomic
def advance(*, job_id: int) -> None:
    """Move the job to parts on order or parts in when that is so, and hold it or let it go on."""
    job = jobs.locked(job_id)
    if job.state in WANTING:
        reserve(skus={part.sku for part, _ in lacking_parts(job)})
    if job.state == State.IN_THE_BAY:
        # What comes while the work goes on is handed out at once: nobody starts it a second time.
        issue(job=job)
    if job.state == State.PARTS_IN and lacking_parts(job):
        # What had come was sent back, or its receipt undone: the job wants parts again.
        jobs.parts_wanted(job_id=job_id, by=THE_SYSTEM)
        job.refresh_from_db()
    if job.state in (State.DEPOSIT_IN, State.PARTS_ON_ORDER):
        views = job_outlook(job)
        if not lacking_parts(job):
            jobs.parts_arrived(job_id=job_id, by=THE_SYSTEM)
        elif job.state == State.DEPOSIT_IN and not any(view.missing > 0 for view in views):
            jobs.order_parts(job_id=job_id, by=THE_SYSTEM)
    hold_or_release(job_id)


def follow_change(*, job: Job) -> None:
    """Have a job whose parts list was changed want what it lacks now; the job's row is locked."""
    if job.state not in WANTING:
        return
    reserve(skus={part.sku for part, _ in lacking_parts(job)})
    lacks = bool(lacking_parts(job))
    unordered = any(view.missing > 0 for view in job_outlook(job))
    if (job.state == State.PARTS_IN and lacks) or (job.state == State.PARTS_ON_ORDER and unordered):
        jobs.parts_wanted(job_id=job.pk, by=THE_SYSTEM)
        job.refresh_from_db()
    promise_progress([job.pk], f"change-{job.revision_id}-{job.version}")


def hold_or_release(job_id: int) -> None:
    """Hold the job for what is short, or lift our own hold; a person's hold is never touched."""
    job = Job.objects.get(pk=job_id)
    short = shortages(job)
    ours = job.hold_id == PARTS_SHORT
    if short and (ours or not job.is_held):
        jobs.hold(job_id=job_id, by=THE_SYSTEM, said=say(PARTS_SHORT, lines=short))
    elif not short and ours:
        jobs.release(job_id=job_id, by=THE_SYSTEM)


def look_at_all() -> int:
    """Look at every job that waits for parts, as a daily run does; return how many."""
    jobs = sorted(set(wanting_parts().values_list("job", flat=True)))
    for job_id in jobs:
        advance(job_id=job_id)
    return len(jobs)
