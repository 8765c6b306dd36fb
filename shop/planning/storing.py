"""From a plan in slots to rows with times, places and people."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.utils import timezone

from shop.jobs.models import JobOperation

from .loading import Loaded
from .models import Bay, Person
from .problem import Plan

Taken = dict[int, list[tuple[int, int]]]
FIELDS = ("planned_start", "planned_end", "planned_free", "bay_id", "person_id", "is_critical")


def planned_fields() -> list[str]:
    """Return the names of the fields that a plan sets."""
    return [name.removesuffix("_id") for name in FIELDS]


def changed_rows(
    loaded: Loaded,
    plan: Plan,
    bays: list[Bay],
    people: list[Person],
    *,
    now: datetime | None = None,
    taken: Taken | None = None,
) -> list[JobOperation]:
    """Set what the plan says on every row of it; return the rows that differ from what is stored.

    ``taken`` are slots of bays that work outside this plan holds.
    """
    rows = [*loaded.operations, *loaded.handless, *loaded.unplaced]
    before = [_values(row) for row in rows]
    calendar = loaded.problem.calendar
    for row, start, who, step in zip(
        loaded.operations, plan.starts, plan.who, loaded.problem.steps, strict=True
    ):
        row.planned_start = calendar.start_of(start)
        row.planned_end = calendar.end_of(start + step.length)
        row.planned_free = row.planned_end + timedelta(hours=row.wait_h)
        row.person_id = people[who].pk if who is not None else None
        row.is_critical = False
    for row in loaded.unplaced:
        row.planned_start = row.planned_end = row.planned_free = None
        row.bay_id, row.person_id, row.is_critical = None, None, False
    place_handless(loaded, now or timezone.now())
    give_bays(loaded, plan.starts, bays, taken or {})
    mark_critical(loaded)
    return [row for row, was in zip(rows, before, strict=True) if _values(row) != was]


def _values(row: JobOperation) -> tuple[object, ...]:
    return tuple(getattr(row, name) for name in FIELDS)


def place_handless(loaded: Loaded, now: datetime) -> None:
    """Steps that only wait begin when what comes before them is over."""
    free = {(row.job_id, row.key): row.planned_free for row in loaded.operations}
    for row in loaded.handless:
        before = [moment for key in row.after if (moment := free.get((row.job_id, key)))]
        begin = max(before, default=row.planned_start or now)
        row.planned_start = row.planned_end = begin
        row.planned_free = begin + timedelta(hours=row.wait_h)
        row.is_critical = False
        free[row.job_id, row.key] = row.planned_free


def give_bays(loaded: Loaded, starts: list[int], bays: list[Bay], taken: Taken) -> None:
    """Give each step one place of its kind: where its job was last, so that a vehicle stays where it can,
    else the one it had, else one that nobody comes back to soon."""
    by_kind: dict[str, list[Bay]] = {}
    for bay in bays:
        by_kind.setdefault(bay.kind, []).append(bay)
    busy_until: dict[int, int] = {}
    last: dict[tuple[int, str], int] = {}
    order = sorted(range(len(starts)), key=lambda i: starts[i])
    comes_back = _next_starts(loaded, starts, order)
    belongs: dict[int, tuple[int, int]] = {}  # bay: (job that was there last, when it needs a place again)
    for index in order:
        row, step, start = loaded.operations[index], loaded.problem.steps[index], starts[index]
        free = [
            bay
            for bay in by_kind.get(step.kind, ())
            if busy_until.get(bay.pk, 0) <= start
            and not any(a < start + step.length and start < b for a, b in taken.get(bay.pk, ()))
        ]

        def rank(bay: Bay, row: JobOperation = row, job: int = step.job, kind: str = step.kind,
                 end: int = start + step.length) -> tuple[object, ...]:  # fmt: skip
            owner, back = belongs.get(bay.pk, (job, 0))
            crosses = owner != job and 0 < back < end + 32
            return (last.get((job, kind)) != bay.pk, row.bay_id != bay.pk, crosses, bay.position, bay.pk)

        chosen = min(free, key=rank, default=None)
        row.bay_id = chosen.pk if chosen else None
        if chosen:
            busy_until[chosen.pk] = start + step.length
            last[step.job, step.kind] = chosen.pk
            belongs[chosen.pk] = (step.job, comes_back.get(index, 0))


def _next_starts(loaded: Loaded, starts: list[int], order: list[int]) -> dict[int, int]:
    """Return for each step when its job next needs a place of the same kind."""
    found: dict[int, int] = {}
    coming: dict[tuple[int, str], int] = {}
    for index in reversed(order):
        step = loaded.problem.steps[index]
        if (step.job, step.kind) in coming:
            found[index] = coming[step.job, step.kind]
        coming[step.job, step.kind] = starts[index]
    return found


def mark_critical(loaded: Loaded) -> None:
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
