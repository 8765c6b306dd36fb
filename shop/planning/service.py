"""Making the plan: every open job's steps get a place and a time; booked ones keep theirs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from configurator.outbox import service as outbox
from configurator.outbox.handlers import PLANS
from shop.jobs.models import Job, JobOperation
from shop.jobs.states import State

from . import solver
from .greedy import HorizonError, place, plan_greedily, tails_h
from .loading import PLANNED, Loaded, load, planned_jobs
from .models import Bay

KIND = "replan"
HORIZONS_DAYS = (120, 365, 1000)
SOLVER_S = 15.0
REPLAN_AFTER = frozenset(
    {State.DEPOSIT_DUE, State.DEPOSIT_IN, State.PARTS_IN, State.CANCELLED, State.DECLINED}
)


class PlanError(Exception):
    """The work cannot be planned, and why."""


@dataclass(frozen=True)
class Planned:
    """What came of planning."""

    jobs: int
    steps: int
    moved_bookings: tuple[str, ...] = ()


def replan(now: datetime | None = None, *, thorough: bool = False) -> Planned:
    """Plan all open steps anew from now on and store their times and places.

    ``thorough`` has the solver look for a better plan for up to ``SOLVER_S`` seconds, where it is installed.

    Booked jobs keep their times unless those no longer hold (a bay closed, an hour cut): then they are
    planned anew, due by what was promised, and named in ``moved_bookings``. Raises PlanError.
    """
    now = now or timezone.now()
    # Solved before anything is locked, and stored only if nothing has changed meanwhile.
    for _ in range(2):
        solved = _solved(now, thorough)
        with transaction.atomic():
            bays = _hold_bays()
            fresh = load(now, solved.days, pinned=solved.pinned)
            if _same(fresh, solved.loaded):
                return _store(fresh, solved, bays)
    with transaction.atomic():
        bays = _hold_bays()
        solved = _solved(now, thorough=False)
        return _store(solved.loaded, solved, bays)


@dataclass(frozen=True)
class _Solved:
    """A plan that is not stored yet, and what it was made from."""

    loaded: Loaded
    starts: list[int]
    days: int
    pinned: bool


def _hold_bays() -> list[Bay]:
    """Lock the bays, so that two plans are stored one after the other; return those in use."""
    return [bay for bay in Bay.objects.select_for_update().order_by("position", "pk") if bay.is_open]


def _same(fresh: Loaded, known: Loaded) -> bool:
    one, two = fresh.problem, known.problem
    return [row.pk for row in fresh.operations] == [row.pk for row in known.operations] and (
        (one.steps, one.links, one.tails, one.due, one.places, one.calendar.starts, one.calendar.people)
        == (two.steps, two.links, two.tails, two.due, two.places, two.calendar.starts, two.calendar.people)
    )


@dataclass(frozen=True)
class Estimate:
    """When a job could start and be ready, waits included, if it went into the plan now."""

    start: datetime
    ready: datetime


def estimate(job: Job, now: datetime | None = None) -> Estimate | None:
    """Return when a job that is not in the plan could be done behind those that are; nothing is stored.

    None when it cannot be said: the job has no steps, or a kind of place is missing.
    """
    now = now or timezone.now()
    loaded = load(now, HORIZONS_DAYS[0], jobs=[*planned_jobs().exclude(pk=job.pk), job])
    problem = loaded.problem
    mine = [index for index, step in enumerate(problem.steps) if step.job == job.pk]
    if not mine or {step.kind for step in problem.steps} - set(problem.places):
        return None
    tails = tails_h(problem)
    try:
        starts = place(problem, [(step.job == job.pk, -tails[i], i) for i, step in enumerate(problem.steps)])
    except HorizonError:
        return None
    calendar = problem.calendar
    ends = [
        calendar.end_of(starts[i] + problem.steps[i].length) + timedelta(hours=problem.tails.get(i, 0.0))
        for i in mine
    ]
    return Estimate(calendar.start_of(min(starts[i] for i in mine)), max(ends))


def _solved(now: datetime, thorough: bool) -> _Solved:
    """Plan with bookings pinned; if a booking no longer holds, plan it anew with the rest."""
    solved = _within_a_horizon(now, True, thorough)
    if solved.loaded.problem.faults(solved.starts):
        solved = _within_a_horizon(now, False, thorough)
    return solved


def _within_a_horizon(now: datetime, pinned: bool, thorough: bool) -> _Solved:
    for days in HORIZONS_DAYS:
        loaded = load(now, days, pinned=pinned)
        lacking = {step.kind for step in loaded.problem.steps} - set(loaded.problem.places)
        if lacking:
            raise PlanError(
                f"No {' and no '.join(sorted(lacking))} is in use, so its steps cannot be planned."
            )
        try:
            if thorough and solver.is_available():
                starts, _proved = solver.plan_with_solver(loaded.problem, seconds=SOLVER_S)
            else:
                starts = plan_greedily(loaded.problem)
        except HorizonError:
            continue
        return _Solved(loaded, starts, days, pinned)
    raise PlanError("There is more work than the next years hold. Look at the opening hours.")


def _store(loaded: Loaded, solved: _Solved, bays: list[Bay]) -> Planned:
    calendar, starts = loaded.problem.calendar, solved.starts
    for row, start, step in zip(loaded.operations, starts, loaded.problem.steps, strict=True):
        row.planned_start = calendar.start_of(start)
        row.planned_end = calendar.end_of(start + step.length)
        row.planned_free = row.planned_end + timedelta(hours=row.wait_h)
        row.is_critical = False
    _place_handless(loaded)
    _give_bays(loaded, starts, bays)
    _mark_critical(loaded)
    fields = ["planned_start", "planned_end", "planned_free", "bay", "is_critical"]
    JobOperation.objects.bulk_update(loaded.operations + loaded.handless, fields, batch_size=200)
    booked = [job.number for job in loaded.jobs.values() if job.state == State.BOOKED]
    return Planned(len(loaded.jobs), len(starts), () if solved.pinned else tuple(booked))


def _place_handless(loaded: Loaded) -> None:
    """Steps that only wait begin when what comes before them is over."""
    free = {(row.job_id, row.key): row.planned_free for row in loaded.operations}
    for row in loaded.handless:
        before = [moment for key in row.after if (moment := free.get((row.job_id, key)))]
        begin = max(before, default=timezone.now())
        row.planned_start = row.planned_end = begin
        row.planned_free = begin + timedelta(hours=row.wait_h)
        row.is_critical = False
        free[row.job_id, row.key] = row.planned_free


def _give_bays(loaded: Loaded, starts: list[int], bays: list[Bay]) -> None:
    """Give each step one place of its kind: the one it had, else its job's last, else any that is free."""
    by_kind: dict[str, list[Bay]] = {}
    for bay in bays:
        by_kind.setdefault(bay.kind, []).append(bay)
    busy_until: dict[int, int] = {}
    last: dict[tuple[int, str], int] = {}
    for index in sorted(range(len(starts)), key=lambda i: starts[i]):
        row, step = loaded.operations[index], loaded.problem.steps[index]
        free = [bay for bay in by_kind.get(step.kind, ()) if busy_until.get(bay.pk, 0) <= starts[index]]
        wanted = (row.bay_id, last.get((step.job, step.kind)))
        free.sort(key=lambda bay: (bay.pk not in wanted, bay.position, bay.pk))
        row.bay = free[0] if free else None
        if free:
            busy_until[free[0].pk] = starts[index] + step.length
            last[step.job, step.kind] = free[0].pk


def _mark_critical(loaded: Loaded) -> None:
    """Mark the chain that decides each job's end: from the last step back to whatever ended latest before."""
    by_job: dict[int, dict[str, JobOperation]] = {}
    for row in [*loaded.operations, *loaded.handless]:
        by_job.setdefault(row.job_id, {})[row.key] = row
    for rows in by_job.values():
        step: JobOperation | None = max(rows.values(), key=_free)
        while step is not None and not step.is_critical:
            step.is_critical = True
            step = max((rows[key] for key in step.after if key in rows), key=_free, default=None)


def _free(row: JobOperation) -> datetime:
    assert row.planned_free is not None  # noqa: S101 - set just above for every row
    return row.planned_free


def when_job_moved(sender: object, job: Job, to: str, entry: Any, **kwargs: Any) -> None:
    """Have the plan made anew after the commit when a move changes what there is to plan."""
    if to in REPLAN_AFTER:
        outbox.promise(kind=KIND, key=f"{KIND}:{entry.pk}", payload={"job_id": job.pk})


@outbox.handles(KIND, queue=PLANS)
def keep_replan(payload: dict[str, Any]) -> None:
    """Plan anew; what cannot be planned shows on the plan page and is no reason to try again."""
    try:
        replan()
    except PlanError:
        return


def unplanned_jobs() -> list[Job]:
    """Return the jobs that should be in the plan and have a step without a time."""
    jobs = Job.objects.filter(state__in=PLANNED, operations__planned_start=None, operations__done_at=None)
    return list(jobs.distinct().select_related("revision"))
