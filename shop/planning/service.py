"""Making the plan: every open job's steps get a place, a time and, where people are named, somebody."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils import timezone

from shop.jobs.models import Job, JobOperation

from . import solver
from .crew import people_in_order
from .greedy import HorizonError, plan_greedily
from .loading import PLANNED, Because, Loaded, load
from .models import Bay
from .pins import loosen
from .problem import Plan
from .promises import note_promises
from .storing import changed_rows, planned_fields

HORIZONS_DAYS = (120, 365, 1000, 2500)
SOLVER_S = 15.0
Progress = Callable[[str, int], None]


class PlanError(Exception):
    """The work cannot be planned, and why."""


@dataclass(frozen=True)
class Planned:
    """What came of planning.

    ``left_out`` are jobs that cannot be planned as (number, reason code, which); ``broken`` the numbers of
    jobs whose fixed dates the plan no longer keeps.
    """

    jobs: int
    steps: int
    broken: tuple[str, ...] = ()
    left_out: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True)
class _Solved:
    """A plan that is not stored yet, and what it was made from."""

    loaded: Loaded
    plan: Plan
    days: int
    as_loaded: list[object] = field(default_factory=list)


def replan(
    now: datetime | None = None, *, thorough: bool = False, progress: Progress = lambda stage, percent: None
) -> Planned:
    """Plan all open steps anew from now on and store their times, places and people.

    ``thorough`` has the solver look for a better plan for up to ``SOLVER_S`` seconds, where it is installed.
    ``progress`` is told how far it is. Booked jobs keep their times; those that cannot are planned anew, not
    before the day their customer comes, and noted as broken promises. Raises PlanError.
    """
    now = now or timezone.now()
    # Solved before anything is locked, and stored only if nothing has changed meanwhile.
    for _ in range(2):
        solved = _solved(now, thorough, progress)
        progress("storing", 85)
        with transaction.atomic():
            bays = _hold_bays()
            fresh = load(now, solved.days)
            if _facts(fresh) == solved.as_loaded:
                loosen(fresh)
                return _store(fresh, solved.plan, bays, now)
    with transaction.atomic():
        bays = _hold_bays()
        solved = _solved(now, False, progress)
        return _store(solved.loaded, solved.plan, bays, now)


def _hold_bays() -> list[Bay]:
    """Lock the bays, so that two plans are stored one after the other; return those in use."""
    return [bay for bay in Bay.objects.select_for_update().order_by("position", "pk") if bay.is_open]


def _facts(loaded: Loaded) -> list[object]:
    """Return everything the plan was made from, to compare with what is so when it is stored."""
    of = loaded.problem
    return [
        [row.pk for row in loaded.operations],
        list(of.steps),
        of.links,
        dict(of.tails),
        dict(of.due),
        of.places,
        of.crew,
        of.move,
        of.calendar.starts,
        of.calendar.people,
        [(job.pk, *why) for job, *why in loaded.left_out],
    ]


def _solved(now: datetime, thorough: bool, progress: Progress) -> _Solved:
    for days in HORIZONS_DAYS:
        progress("loading", 5)
        loaded = load(now, days)
        as_loaded = _facts(loaded)
        loosen(loaded)
        progress("solving", 15)
        try:
            plan = plan_greedily(loaded.problem)
            if thorough and solver.is_available():
                progress("improving", 40)
                plan, _proved = solver.plan_with_solver(loaded.problem, seconds=SOLVER_S, start=plan)
        except HorizonError:
            continue
        return _Solved(loaded, plan, days, as_loaded)
    raise PlanError("There is more work than the next years hold. Look at the opening hours.")


def _store(loaded: Loaded, plan: Plan, bays: list[Bay], now: datetime) -> Planned:
    rows = changed_rows(loaded, plan, bays, people_in_order())
    JobOperation.objects.bulk_update(rows, planned_fields(), batch_size=100)
    broken = note_promises(loaded, now)
    left_out = tuple((job.number, code, which) for job, code, which in loaded.left_out)
    return Planned(len(loaded.jobs), len(plan.starts), tuple(broken), left_out)


def unplanned_jobs(most: int) -> list[Job]:
    """Return the first jobs that should be in the plan and have a step without a time, one more at most."""
    steps = JobOperation.objects.filter(job=OuterRef("pk"), planned_start=None, done_at=None)
    # In no order of the database: it would look at all of them to find the first.
    jobs = Job.objects.filter(Exists(steps), state__in=PLANNED).order_by()
    return sorted(jobs[: most + 1], key=lambda job: job.pk)


__all__ = ["Because", "PlanError", "Planned", "replan", "unplanned_jobs"]
