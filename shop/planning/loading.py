"""From jobs in the database to a problem to plan, and the calendar it is planned on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import Count, QuerySet
from django.utils import timezone

from shop.jobs.models import Job, JobOperation
from shop.jobs.states import State

from .calendar import USUAL, Stretch, WorkCalendar
from .models import Bay, ClosedDay, OpeningHours
from .problem import Link, Problem, Step, slots

PLANNED = (
    State.AGREED,
    State.DEPOSIT_DUE,
    State.DEPOSIT_IN,
    State.PARTS_ON_ORDER,
    State.PARTS_IN,
    State.BOOKED,
    State.IN_THE_BAY,
)
UNPAID = (State.SENT, State.IN_REVIEW, State.WAITING, State.AGREED, State.DEPOSIT_DUE)
AWAITS_PARTS = (*UNPAID, State.DEPOSIT_IN, State.PARTS_ON_ORDER)
DEPOSIT_TAKES = timedelta(days=2)


@dataclass
class Loaded:
    """A problem with what its indices mean; ``handless`` are steps that only wait."""

    problem: Problem
    operations: list[JobOperation] = field(default_factory=list)
    handless: list[JobOperation] = field(default_factory=list)
    jobs: dict[int, Job] = field(default_factory=dict)


def calendar_from(today: datetime, days: int) -> WorkCalendar:
    """Return the workshop's calendar from a day on; usual hours until it has entered its own."""
    rows = [Stretch(row.weekday, row.opens, row.closes, row.people) for row in OpeningHours.objects.all()]
    closed = set(ClosedDay.objects.values_list("day", flat=True))
    local = timezone.localtime(today)
    return WorkCalendar(local.date(), days, timezone.get_current_timezone(), rows or USUAL, closed)


def places() -> dict[str, int]:
    """Return how many places of each kind are in use; one of each until the workshop has entered its own."""
    rows = Bay.objects.filter(is_open=True).order_by().values_list("kind").annotate(Count("pk"))
    return dict(rows) or dict.fromkeys(Bay.Kind.values, 1)


def parts_here_by(job: Job, now: datetime) -> datetime:
    """Return when the job's parts can be here: now, or after the longest delivery still to come."""
    if job.state not in AWAITS_PARTS:
        return now
    lines = job.revision.evaluation.get("parts") or []
    longest = timedelta(days=max((line["lead_time_days"] for line in lines), default=0))
    ordered = job.state_since if job.state == State.PARTS_ON_ORDER else now
    paying = DEPOSIT_TAKES if job.state in UNPAID else timedelta(0)
    return max(now, ordered + longest + paying)


def planned_jobs() -> QuerySet[Job]:
    """Return the jobs that belong in the plan, oldest first."""
    return Job.objects.filter(state__in=PLANNED).select_related("revision").order_by("opened_at", "pk")


def load(now: datetime, days: int = 180, *, pinned: bool = True, jobs: Iterable[Job] | None = None) -> Loaded:
    """Return everything there is to plan from now on.

    Booked jobs keep their times when ``pinned``; otherwise they are only due by what was promised.
    """
    loaded = Loaded(Problem(calendar_from(now, days), places(), []))
    if jobs is None:
        jobs = planned_jobs()
    for job in jobs:
        loaded.jobs[job.pk] = job
    rows = JobOperation.objects.filter(job__in=loaded.jobs).order_by("job__opened_at", "job", "position")
    by_job: dict[int, list[JobOperation]] = {}
    for row in rows:
        by_job.setdefault(row.job_id, []).append(row)
    for job_id, steps in by_job.items():
        _add_job(loaded, loaded.jobs[job_id], steps, now, pinned)
    return loaded


def _add_job(loaded: Loaded, job: Job, rows: list[JobOperation], now: datetime, pinned: bool) -> None:
    problem, calendar = loaded.problem, loaded.problem.calendar
    release = calendar.slot_from(max(now, parts_here_by(job, now)))
    reach = _reach(rows)
    index: dict[str, int] = {}
    for row in rows:
        if row.done_at or not slots(row.hands_on_h):
            loaded.handless += [] if row.done_at else [row]
            continue
        index[row.key] = len(problem.steps)
        waits = [_moment(done, wait) for done, wait in reach[row.key] if done.done_at]
        start = max([release, *(calendar.slot_from(moment) for moment in waits)])
        pin = _pin(job, row, calendar, now) if pinned else None
        problem.steps.append(Step(job.pk, row.name, row.resource, slots(row.hands_on_h), start, pin))
        loaded.operations.append(row)
    for row in rows:
        if row.key not in index:
            continue
        for first, wait in reach[row.key]:
            if first.key in index:
                problem.links.append(Link(index[first.key], index[row.key], wait))
    _tails(problem, rows, index)
    if job.promised_ready_at:
        problem.due[job.pk] = calendar.slot_from(job.promised_ready_at)


def _moment(done: JobOperation, wait_h: float) -> datetime:
    assert done.done_at is not None  # noqa: S101 - narrows the type; callers asked
    return done.done_at + timedelta(hours=0 if done.is_skipped else wait_h)


def _reach(rows: list[JobOperation]) -> dict[str, list[tuple[JobOperation, float]]]:
    """Return for each step what comes before it and how long that waits, through steps without hands."""
    by_key = {row.key: row for row in rows}
    found: dict[str, list[tuple[JobOperation, float]]] = {}
    for row in rows:  # rows are in an order in which what comes before comes first
        best: dict[str, tuple[JobOperation, float]] = {}
        for key in row.after:
            before = by_key.get(key)
            if before is None:
                continue
            handless = not before.done_at and not slots(before.hands_on_h)
            through = found.get(key, []) if handless else [(before, 0.0)]
            for first, wait in through:
                total = wait + before.wait_h
                if first.key not in best or best[first.key][1] < total:
                    best[first.key] = (first, total)
        found[row.key] = list(best.values())
    return found


def _tails(problem: Problem, rows: list[JobOperation], index: dict[str, int]) -> None:
    """What waits after the last hands still keeps the job: drying paint, curing adhesive."""
    reach = _reach(rows)
    for row in rows:
        if row.key in index:
            problem.tails[index[row.key]] = max(problem.tails.get(index[row.key], 0.0), row.wait_h)
        elif not row.done_at:
            for first, wait in reach[row.key]:
                if first.key in index:
                    at = index[first.key]
                    problem.tails[at] = max(problem.tails.get(at, 0.0), wait + row.wait_h)


def _pin(job: Job, row: JobOperation, calendar: WorkCalendar, now: datetime) -> int | None:
    """Return the slot a booked step keeps, if that slot still exists and is to come."""
    if job.state != State.BOOKED or row.planned_start is None or row.planned_start < now:
        return None
    slot = calendar.slot_from(row.planned_start)
    on_time = slot < len(calendar) and calendar.start_of(slot) == row.planned_start
    return slot if on_time else None
