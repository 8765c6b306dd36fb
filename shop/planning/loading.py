"""From jobs in the database to a problem to plan, and the calendar it is planned on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import Count, QuerySet
from django.utils import timezone

from configurator.models import SpecRevision
from shop.jobs.models import Job, JobOperation
from shop.jobs.signals import answers_for
from shop.jobs.signals import parts_expected as ask_when_parts_come
from shop.jobs.states import State

from .calendar import USUAL, Stretch, WorkCalendar
from .crew import load_crew
from .models import Bay, BrokenPromise, ClosedDay, OpeningHours, PlanRules
from .occupied import first_run
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
Because = BrokenPromise.Because


@dataclass
class Loaded:
    """A problem with what its indices mean.

    ``handless`` are steps that only wait; ``loosened`` says for each step of a booked job that cannot keep
    its time why not; ``left_out`` are jobs that cannot be planned: (job, reason code, which).
    """

    problem: Problem
    operations: list[JobOperation] = field(default_factory=list)
    handless: list[JobOperation] = field(default_factory=list)
    jobs: dict[int, Job] = field(default_factory=dict)
    loosened: dict[int, Because] = field(default_factory=dict)
    left_out: list[tuple[Job, str, str]] = field(default_factory=list)
    unplaced: list[JobOperation] = field(default_factory=list)


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


def planned_jobs() -> QuerySet[Job]:
    """Return the jobs that belong in the plan, oldest first."""
    return Job.objects.filter(state__in=PLANNED).order_by("opened_at", "pk")


def lead_times(jobs: Iterable[Job]) -> dict[int, timedelta]:
    """Return for each job that still awaits parts the longest delivery among its parts, by job."""
    by_revision = {job.revision_id: job.pk for job in jobs if job.state in AWAITS_PARTS}
    found = {}
    rows = SpecRevision.objects.filter(pk__in=by_revision).values_list("pk", "evaluation__parts")
    for revision_id, lines in rows:
        days = max((line["lead_time_days"] for line in lines or []), default=0)
        found[by_revision[revision_id]] = timedelta(days=days)
    return found


def parts_here_by(job: Job, now: datetime, longest: timedelta) -> datetime:
    """Return when the job's parts can be here: now, or after the longest delivery still to come."""
    if job.state not in AWAITS_PARTS:
        return now
    ordered = job.state_since if job.state == State.PARTS_ON_ORDER else now
    paying = DEPOSIT_TAKES if job.state in UNPAID else timedelta(0)
    return max(now, ordered + longest + paying)


def load(now: datetime, days: int = 180, *, jobs: Iterable[Job] | None = None) -> Loaded:
    """Return everything there is to plan from now on. Booked jobs keep their times where they still can."""
    calendar = calendar_from(now, days)
    move = slots(PlanRules.current().move_minutes / 60)
    loaded = Loaded(Problem(calendar, places(), [], crew=load_crew(calendar), move=move))
    wanted = list(planned_jobs() if jobs is None else jobs)
    by_job: dict[int, list[JobOperation]] = {job.pk: [] for job in wanted}
    rows = JobOperation.objects.filter(job__in=by_job).order_by("job__opened_at", "job", "position")
    for row in rows:
        by_job[row.job_id].append(row)
    leads = lead_times(wanted)
    # What comes late for work that has begun is for the bench to say, not for the plan.
    waiting = [job for job in wanted if job.state != State.IN_THE_BAY]
    expected = answers_for(ask_when_parts_come, waiting)
    for job in wanted:
        if not by_job[job.pk]:
            continue
        if lacking := _lacking(loaded.problem, by_job[job.pk]):
            loaded.left_out.append((job, *lacking))
            loaded.unplaced += [row for row in by_job[job.pk] if not row.done_at]
            continue
        loaded.jobs[job.pk] = job
        parts = parts_here_by(job, now, leads.get(job.pk, timedelta(0)))
        parts = max([parts, *expected.get(job.pk, [])])
        _add_job(loaded, job, by_job[job.pk], now, parts)
    return loaded


def _lacking(problem: Problem, rows: list[JobOperation]) -> tuple[str, str] | None:
    """Return why a job's steps can never be done here, as (code, which), or None."""
    for row in rows:
        length = slots(row.hands_on_h)
        if row.done_at or not length:
            continue
        if row.resource not in problem.places:
            return "place", row.resource
        if problem.crew:
            able = [person for person in problem.crew if person.can(row.stage)]
            if not able:
                return "skill", row.stage
            if not any(first_run(person.at_work, length) for person in able):
                return "hours", row.name
    return None


def _add_job(loaded: Loaded, job: Job, rows: list[JobOperation], now: datetime, parts: datetime) -> None:
    problem, calendar = loaded.problem, loaded.problem.calendar
    release = calendar.slot_from(max(now, parts))
    if job.state == State.BOOKED and job.booked_start:
        release = max(release, calendar.slot_from(job.booked_start))  # the vehicle is not here before
    reach = _reach(rows)
    index: dict[str, int] = {}
    for row in rows:
        if row.done_at or not slots(row.hands_on_h):
            loaded.handless += [] if row.done_at else [row]
            continue
        at = index[row.key] = len(problem.steps)
        waits = [_moment(done, wait) for done, wait in reach[row.key] if done.done_at]
        start = max([release, *(calendar.slot_from(moment) for moment in waits)])
        pin, because = _pin(job, row, calendar, now)
        if because:
            loaded.loosened[at] = because
        length = slots(row.hands_on_h)
        problem.steps.append(Step(job.pk, row.name, row.resource, length, start, pin, row.stage))
        loaded.operations.append(row)
    for row in rows:
        if row.key not in index:
            continue
        for first, wait in reach[row.key]:
            if first.key in index:
                problem.links.append(Link(index[first.key], index[row.key], wait))
    _tails(problem, rows, index)
    if job.promised_ready_at and job.state in (State.BOOKED, State.IN_THE_BAY):
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


def _pin(
    job: Job, row: JobOperation, calendar: WorkCalendar, now: datetime
) -> tuple[int | None, Because | None]:
    """Return the slot a booked step keeps; or, if that slot is gone or past, why it keeps none."""
    if job.state != State.BOOKED or row.planned_start is None:
        return None, None
    if row.planned_start < now:
        return None, Because.NOT_BEGUN
    slot = calendar.slot_from(row.planned_start)
    if slot < len(calendar) and calendar.start_of(slot) == row.planned_start:
        return slot, None
    return None, Because.CLOSED
