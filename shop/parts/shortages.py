"""Keeping the rows of what is short in step with jobs, shelves, orders and plan.

A change leaves a mark in its transaction; whoever reads next works out what was marked. So a change never
waits for this, and a page reads what it shows and no more.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from itertools import islice
from typing import Any

from django.db import transaction
from django.db.models import Count

from shop.jobs.models import Job
from shop.planning.wishes import current_run

from .demand import Outlook, wanting_parts
from .models import JobPart
from .models_shortages import Lack, Shortage, ShortageMark, ShortageRun, WaitingJob
from .ordering import Need, needs_of

ONLY = 1
FIRST_JOBS = 5
AT_ONCE = 500
"""How many keys go into one question to the database."""


def _batched(keys: Iterable[Any]) -> Iterator[list[Any]]:
    left = iter(keys)
    while some := list(islice(left, AT_ONCE)):
        yield some


def mark(skus: Iterable[str]) -> None:
    """Say that stock, orders or claims of these items changed."""
    ShortageMark.objects.bulk_create(ShortageMark(sku=sku) for sku in sorted(set(skus)))


def mark_job(job: Job) -> None:
    """Say that a job wants other parts now, or none any more."""
    ShortageMark.objects.create(job=job)


def mark_all() -> None:
    """Have everything worked out anew."""
    ShortageMark.objects.create()


def when_changed(sender: object, instance: Any, *, raw: bool = False, **kwargs: Any) -> None:
    """Mark the item of a line, a reservation, a level or an order's line that was written or deleted.

    Not where a backup is put back: the marks there were come with it.
    """
    if not raw:
        mark([instance.sku])


def refresh() -> None:
    """Work out what was marked; the rows are then what ``needs_of`` says."""
    run = ShortageRun.objects.filter(pk=ONLY).first()
    plan = current_run().kept
    if run and run.plan == plan and not ShortageMark.objects.exists():
        return
    with transaction.atomic():
        ShortageRun.objects.get_or_create(pk=ONLY)
        run = ShortageRun.objects.select_for_update().get(pk=ONLY)
        marks = list(ShortageMark.objects.values_list("pk", "sku", "job"))
        if run.plan != plan or any(not sku and not job for _pk, sku, job in marks):
            _work_out_all()
        else:
            _work_out(_marked(marks))
        for keys in _batched((pk for pk, _sku, _job in marks)):
            ShortageMark.objects.filter(pk__in=keys).delete()
        ShortageRun.objects.filter(pk=ONLY).update(plan=plan)


def _marked(marks: Collection[tuple[int, str, int | None]]) -> set[str]:
    found = {sku for _pk, sku, _job in marks if sku}
    for jobs in _batched({job for _pk, _sku, job in marks if job}):
        # Also what it lacked before: a line that was replaced has another item now.
        for rows in (JobPart.objects.filter(job__in=jobs), Lack.objects.filter(job__in=jobs)):
            found.update(rows.order_by().values_list("sku", flat=True))
    return found


def _work_out_all() -> None:
    for table in (Shortage, Lack, WaitingJob):
        table.objects.all().delete()
    needs, views = needs_of()
    _store(needs, views)


def _work_out(skus: set[str]) -> None:
    # A colleague's change of the same items leaves a mark of its own: the next reader works it out.
    for keys in _batched(sorted(skus)):
        Shortage.objects.filter(sku__in=keys).delete()
        lost = set(Lack.objects.filter(sku__in=keys).values_list("job", flat=True))
        Lack.objects.filter(sku__in=keys).delete()
        needs, views = needs_of(keys)
        _store(needs, views, lost)


def _store(needs: list[Need], views: list[Outlook], lost: Collection[int] = ()) -> None:
    Shortage.objects.bulk_create([_row(need) for need in needs], batch_size=AT_ONCE)
    Lack.objects.bulk_create(
        [
            Lack(
                part=view.claim.part,
                job_id=view.claim.part.job_id,
                sku=view.claim.part.sku,
                missing=view.missing,
            )
            for view in views
        ],
        batch_size=AT_ONCE,
    )
    for jobs in _batched({*lost, *(view.claim.part.job_id for view in views)}):
        WaitingJob.objects.filter(job__in=jobs).delete()
        WaitingJob.objects.bulk_create(_waiting(jobs))


def _row(need: Need) -> Shortage:
    jobs = need.by_job
    return Shortage(
        sku=need.part.sku,
        part=need.part,
        supplier=need.part.supplier,
        wanted=need.wanted,
        free=need.free,
        on_order=need.on_order,
        quantity=need.quantity,
        cost_cents=int(need.cost_net * 100),
        need_by=need.need_by,
        order_by=need.order_by,
        jobs=len(jobs),
        first_jobs=[[number, f"{quantity:f}"] for number, quantity in jobs[:FIRST_JOBS]],
    )


def _waiting(jobs: Collection[int]) -> Iterator[WaitingJob]:
    """Return the rows of those of the jobs that lack something."""
    lacks = Lack.objects.filter(job__in=jobs).order_by()
    lacking = dict(lacks.values("job").annotate(n=Count("pk")).values_list("job", "n"))
    parts = wanting_parts().filter(job__in=lacking).order_by()
    rows = parts.values("job", "job__state_since").annotate(n=Count("pk"))
    for job, since, lines in rows.values_list("job", "job__state_since", "n"):
        yield WaitingJob(job_id=job, since=since, lines=lines, complete=lines - lacking[job])
