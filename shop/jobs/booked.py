"""Fixing the dates that the plan has for a job: those that were looked at, and none that have passed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from .errors import StaleError, UnmetError
from .models import Job
from .moving import locked, move
from .roles import By
from .states import State


@dataclass(frozen=True)
class PlannedDates:
    """When the plan has a job begin, and when ready."""

    start: datetime
    ready: datetime

    @property
    def mark(self) -> str:
        """What a form carries of them, so that no other dates are fixed than those that were looked at."""
        return f"{self.start.timestamp():.0f}-{self.ready.timestamp():.0f}"


def planned_dates(job: Job) -> PlannedDates | None:
    """Return the dates that booking the job now would fix; nothing before it is planned."""
    steps = list(job.operations.exclude(planned_start=None).exclude(planned_free=None))
    if not steps:
        return None
    start = min(step.planned_start for step in steps if step.planned_start)
    return PlannedDates(start, max(step.planned_free for step in steps if step.planned_free))


def book(
    *, job_id: int, by: By, version: int | None = None, tell: bool = True, seen: str | None = None
) -> bool:
    """Fix the planned dates and, where ``tell`` says so, mail the customer when to bring the vehicle.

    ``seen`` is the mark of the dates that a page showed, empty where it showed none; None where a caller has
    just placed the job. Raises ``StaleError`` where the plan has others by now, and ``UnmetError`` for a day
    that has passed: nobody is asked to come yesterday.
    """
    with transaction.atomic():
        job = locked(job_id)
        dates = planned_dates(job)
        changes: dict[str, datetime] = {}
        if dates and seen is not None and job.state == State.PARTS_IN:
            _check_dates(dates, seen)
        if dates:
            changes = {"booked_start": dates.start, "promised_ready_at": dates.ready}
        return move(
            job_id=job_id,
            to=State.BOOKED,
            by=by,
            version=version,
            changes=changes,
            mail="booked" if tell else "",
        )


def _check_dates(dates: PlannedDates, seen: str) -> None:
    if seen not in ("", dates.mark):
        raise StaleError(_("The plan has changed since you opened this page. Look again, then decide."))
    if timezone.localdate(dates.start) < timezone.localdate():
        raise UnmetError(
            _("The planned day has passed. Have the plan made anew, or choose a day under Dates.")
        )
