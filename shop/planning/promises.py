"""Dates fixed with customers against the plan: what no longer holds is noted and stays until settled."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.jobs.errors import StaleError
from shop.jobs.models import Job
from shop.jobs.roles import By, actor
from shop.jobs.service import check_role, locked, record
from shop.jobs.states import MANAGER, REVIEWER, State

from .loading import Loaded
from .models import BrokenPromise
from .signals import promise_broken

Because = BrokenPromise.Because
Settled = BrokenPromise.Settled
PROMISED = (State.BOOKED, State.IN_THE_BAY)
PLANNED_ANEW = gettext_lazy("The plan has changed since you opened this page. Look again, then decide.")


def open_promises() -> QuerySet[BrokenPromise]:
    """Return what is broken and not settled, the earliest promise first."""
    rows = BrokenPromise.objects.filter(settled="").select_related("job", "job__revision", "job__spec")
    return rows.order_by("promised_start", "promised_ready", "pk")


def note_promises(loaded: Loaded, now: datetime) -> list[str]:
    """Note every fixed date that the new plan does not keep and settle those that hold again.

    Returns the numbers of the jobs whose promise is broken. Called inside the plan's transaction.
    """
    known = {row.job_id: row for row in BrokenPromise.objects.filter(settled="").select_related("job")}
    stood_by = _stood_by()
    broken: list[str] = []
    left_out = {job.pk: job for job, _, _ in loaded.left_out}
    for job in [*loaded.jobs.values(), *left_out.values()]:
        if job.state not in PROMISED or not job.promised_ready_at:
            continue
        found = _broken(loaded, job, unplanned=job.pk in left_out)
        if found is None or _is_stood_by(found, stood_by.get(job.pk)):
            continue
        broken.append(job.number)
        before = known.pop(job.pk, None)
        row = before or BrokenPromise(job=job, found_at=now)
        _copy(found, row)
        row.save()
        if before is None:
            promise_broken.send(BrokenPromise, broken=row)
    for row in known.values():
        row.settled = Settled.HOLDS if row.job.state in PROMISED else Settled.ENDED
        row.settled_at = now
        row.save(update_fields=["settled", "settled_at"])
    return broken


def _broken(loaded: Loaded, job: Job, *, unplanned: bool) -> BrokenPromise | None:
    """Return what the plan breaks of a job's dates, not saved, or None when it keeps them."""
    found = BrokenPromise(job=job, promised_start=job.booked_start, promised_ready=job.promised_ready_at)
    if unplanned:
        found.because = Because.UNPLANNED
        return found
    rows = [row for row in [*loaded.operations, *loaded.handless] if row.job_id == job.pk]
    if not rows:
        return None
    found.planned_start = min(row.planned_start for row in rows if row.planned_start)
    found.planned_ready = max(row.planned_free for row in rows if row.planned_free)
    assert job.promised_ready_at  # noqa: S101 - the caller asked
    late = found.planned_ready > job.promised_ready_at
    if job.state == State.BOOKED and job.booked_start:
        late = late or found.planned_start > job.booked_start
    reasons = [
        because
        for index, because in loaded.loosened.items()
        if loaded.operations[index].job_id == job.pk and because != Because.BEFORE
    ]
    found.because = reasons[0] if reasons else Because.BEFORE
    return found if late else None


def _copy(found: BrokenPromise, row: BrokenPromise) -> None:
    for name in ("because", "promised_start", "promised_ready", "planned_start", "planned_ready"):
        setattr(row, name, getattr(found, name))


def _stood_by() -> dict[int, BrokenPromise]:
    """Return what staff decided to keep all the same, the last word a job."""
    rows = BrokenPromise.objects.filter(settled=Settled.STOOD_BY, job__state__in=PROMISED)
    return {row.job_id: row for row in rows.order_by("settled_at")}


def _is_stood_by(found: BrokenPromise, before: BrokenPromise | None) -> bool:
    """Whether staff said that this promise is kept all the same, and it got no worse since."""
    if before is None or before.promised_ready != found.promised_ready:
        return False
    if before.planned_ready is None or found.planned_ready is None:
        return before.planned_ready == found.planned_ready
    return found.planned_ready <= before.planned_ready


def stand_by(*, promise_id: int, by: By, note: str, seen: str | None = None) -> bool:
    """Say that the date is kept all the same (a longer day, a helping hand), and how; False if settled.

    ``seen`` is the mark of what was looked at: a day that became later still is looked at first.
    """
    who = actor(by)
    check_role(who, frozenset({REVIEWER, MANAGER}), _("Standing by a date"))
    with transaction.atomic():
        row = BrokenPromise.objects.select_for_update().get(pk=promise_id)
        if row.settled:
            return False
        if seen not in (None, row.mark):
            raise StaleError(PLANNED_ANEW)
        settle(row, Settled.STOOD_BY, who.user, note)
        record(locked(row.job_id), who, "job.date_stood_by", why=note)
    return True


def settle(row: BrokenPromise, how: str, user: Any = None, note: str = "") -> None:
    """Close a broken promise."""
    row.settled, row.settled_at, row.settled_by, row.note = how, timezone.now(), user, note[:300]
    row.save(update_fields=["settled", "settled_at", "settled_by", "note"])


def settle_of_job(job: Job, how: str, user: Any = None) -> None:
    """Close whatever is open of a job."""
    for row in BrokenPromise.objects.select_for_update().filter(job=job, settled=""):
        settle(row, how, user)
