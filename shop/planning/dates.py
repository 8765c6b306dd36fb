"""Free dates for one job among what is planned already, without planning anything else anew."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import islice

from django.utils import timezone

from shop.jobs.models import Job, JobOperation

from .crew import people_in_order
from .dispatch import HorizonError, serial, tails_h
from .loading import PLANNED, Loaded, load
from .models import PlanRules
from .occupied import Occupied
from .problem import Plan, Problem

HORIZONS_DAYS = (240, 1000, 2500)
DATES_OFFERED = 8


@dataclass(frozen=True)
class Estimate:
    """When a job could start and be ready, waits included."""

    start: datetime
    ready: datetime

    @property
    def day(self) -> date:
        """The day on which the vehicle is brought."""
        return timezone.localtime(self.start).date()


@dataclass
class Gaps:
    """One job as a problem, and what all other work has taken already."""

    loaded: Loaded
    taken: Occupied

    @property
    def problem(self) -> Problem:
        """The job's own problem."""
        return self.loaded.problem


def gaps_for(job: Job, now: datetime, days: int = HORIZONS_DAYS[0]) -> Gaps | None:
    """Return what there is to find a date with; None when the job has no steps or cannot be planned."""
    loaded = load(now, days, jobs=[job])
    problem = loaded.problem
    if not problem.steps:
        return None
    # The job is looked at as if nothing of it were fixed.
    problem.steps = [replace(step, pinned=None) for step in problem.steps]
    taken = Occupied(problem)
    calendar = problem.calendar
    number = {person.pk: n for n, person in enumerate(people_in_order())} if problem.crew else {}
    until = calendar.starts[-1] if len(calendar) else now  # closed all the time: nothing can be in the way
    rows = JobOperation.objects.filter(
        job__state__in=PLANNED, done_at=None, planned_end__gt=now, planned_start__lt=until
    ).exclude(job=job)
    for kind, start, end, who in rows.values_list("resource", "planned_start", "planned_end", "person_id"):
        if not (start and end):  # the filter asked for both; this tells the types
            continue
        first, last = calendar.slot_from(start), calendar.slot_from(end)
        if last > first:
            taken.block(kind, first, last - first, number.get(who))
    return Gaps(loaded, taken)


def placed(gaps: Gaps, release: int) -> tuple[Plan, Estimate] | None:
    """Return the job's plan and dates when its vehicle comes no sooner than a slot; None: no room."""
    problem = gaps.problem
    steps = problem.steps
    tails = tails_h(problem)
    problem.steps = [replace(step, release=max(step.release, release)) for step in steps]
    try:
        plan = serial(problem, [(-tails[i], i) for i in range(len(steps))], gaps.taken.copy())
    except HorizonError:
        return None
    finally:
        problem.steps = steps
    calendar = problem.calendar
    ends = [
        calendar.end_of(start + step.length) + timedelta(hours=problem.tails.get(i, 0.0))
        for i, (start, step) in enumerate(zip(plan.starts, steps, strict=True))
    ]
    return plan, Estimate(calendar.start_of(min(plan.starts)), max(ends))


def estimate(job: Job, now: datetime | None = None) -> Estimate | None:
    """Return when a job could be done behind what is planned; nothing is stored.

    None when it cannot be said: the job has no steps, or a kind of place is missing.
    """
    now = now or timezone.now()
    for days in HORIZONS_DAYS:
        gaps = gaps_for(job, now, days)
        if gaps is None:
            return None
        if found := placed(gaps, 0):
            return found[1]
    return None


def first_day_offered(now: datetime) -> date:
    """Return the first day that keeps the workshop's minimum notice."""
    return timezone.localtime(now).date() + timedelta(days=PlanRules.current().minimum_notice_days)


def free_dates(
    job: Job, now: datetime, *, first: date | None = None, count: int = DATES_OFFERED
) -> list[Estimate]:
    """Return the next days on which the job could begin, each with when it would be ready."""
    begin = max(first or first_day_offered(now), timezone.localtime(now).date())
    for days in HORIZONS_DAYS:
        gaps = gaps_for(job, now, days)
        if gaps is None:
            return []
        if found := list(islice(_by_day(gaps, begin), count)):
            return found
    return []


def on_day(job: Job, now: datetime, day: date) -> tuple[Gaps, Plan, Estimate] | None:
    """Return the job's plan if it begins on exactly this day; None when it cannot."""
    gaps = gaps_for(job, now)
    if gaps is None:
        return None
    slot = gaps.problem.calendar.first_slot_of(day)
    found = placed(gaps, slot) if slot is not None else None
    return (gaps, *found) if found and found[1].day == day else None


def _by_day(gaps: Gaps, first: date) -> Iterator[Estimate]:
    calendar = gaps.problem.calendar
    slot = calendar.first_slot_from(first)
    while slot < len(calendar):
        found = placed(gaps, slot)
        if found is None:
            return
        estimate = found[1]
        yield estimate
        slot = calendar.first_slot_from(estimate.day + timedelta(days=1))
