"""Writing a job's steps of work anew without losing what was done: by key, under the job's lock.

What was ticked stays ticked where the step still is the same work. A done step that the new plan no longer
has stays on the list: it was done. And what a dropped choice took off is put back on: its refitting and
tightening stay to be done, so no wheel leaves the bay untightened because the build changed.
"""

from __future__ import annotations

from dataclasses import dataclass

from configurator.builds.evaluation import Evaluation, WorkStep
from configurator.builds.work import STAGE_ORDER

from .models import Job, JobOperation

SAME = ("stage", "torque_nm", "fastener_count", "axle", "paint")
"""What makes a step the same work: the hours may differ, the colour and the torque may not."""
PUT_BACK = frozenset({"refit", "wheels on", "torque"})
CLOSING = frozenset({"wash", "final check"})
FACTS = (
    "stage", "name", "hands_on_h", "wait_h", "resource", "caution", "paint", "torque_nm",
    "fastener_count", "axle",
)  # fmt: skip

STORED = (
    *FACTS, "position", "after", "for_choices", "for_names", "done_at", "done_by", "is_skipped",
    "torque_readings", "reason",
)  # fmt: skip


@dataclass(frozen=True)
class Rewritten:
    """What became of the ticks: names of steps that are to be done again, and that stay from before."""

    reopened: tuple[str, ...]
    left_over: tuple[str, ...]


def rewrite_operations(job: Job, evaluation: Evaluation) -> Rewritten:
    """Make the job's steps those of the evaluation; ticks, torques, photos and planned times stay by key."""
    had = {row.key: row for row in job.operations.all()}
    steps = evaluation.work.steps if evaluation.work else ()
    reopened: list[str] = []
    rows = []
    for step in steps:
        row = had.pop(step.key, None) or JobOperation(job=job, key=step.key)
        if row.done_at and not _is_same(row, step):
            _open_again(row)
            reopened.append(step.name)
        _copy(step, row)
        rows.append(row)
    kept = [row for row in had.values() if row.done_at]
    kept += _to_put_back(had, kept, rows)
    job.operations.filter(pk__in=[row.pk for row in had.values() if row not in kept]).delete()
    if any(not row.done_at for row in [*rows, *kept] if row.stage not in CLOSING):
        reopened += [row.name for row in rows if row.stage in CLOSING and row.done_at]
        for row in rows:
            if row.stage in CLOSING:
                _open_again(row)
    _store([*rows, *kept], kept)
    return Rewritten(tuple(reopened), tuple(row.name for row in kept))


def _is_same(row: JobOperation, step: WorkStep) -> bool:
    return all(getattr(row, name) == getattr(step, name) for name in SAME)


def _open_again(row: JobOperation) -> None:
    """The history keeps what was entered; the photo stays with the step."""
    row.done_at, row.done_by, row.is_skipped, row.torque_readings, row.reason = None, None, False, [], ""


def _copy(step: WorkStep, row: JobOperation) -> None:
    for name in FACTS:
        setattr(row, name, getattr(step, name))
    row.after, row.for_choices, row.for_names = list(step.after), list(step.for_choices), list(step.for_names)


def _to_put_back(
    had: dict[str, JobOperation], done: list[JobOperation], rows: list[JobOperation]
) -> list[JobOperation]:
    """Return the undone steps of dropped choices that close what was begun for them."""
    begun = {choice for row in [*done, *rows] if row.done_at for choice in row.for_choices}
    tightened = {row.axle for row in rows if row.torque_nm}
    wheels_off = any(row.stage == "wheels off" and row.done_at for row in [*done, *rows])
    found = []
    for row in had.values():
        if row.done_at or row.stage not in PUT_BACK:
            continue
        if row.torque_nm and wheels_off and row.axle not in tightened:
            found.append(row)
            tightened.add(row.axle)
        elif not row.torque_nm and begun & set(row.for_choices):
            found.append(row)
    return found


def _store(rows: list[JobOperation], kept: list[JobOperation]) -> None:
    """Number the steps by stage and have the closing ones wait for all that is kept."""
    keys = {row.key for row in rows}
    waiting = [row.key for row in kept if not row.done_at]
    closing = next((row for row in rows if row.stage in CLOSING), None)
    if closing and waiting:
        closing.after = sorted({*closing.after, *waiting})
    order = sorted(rows, key=lambda row: STAGE_ORDER.get(row.stage, 0))
    for position, row in enumerate(order, start=1):
        row.position = position
        row.after = [key for key in row.after if key in keys]
    known = [row for row in order if row.pk is not None]
    JobOperation.objects.bulk_create(row for row in order if row.pk is None)
    JobOperation.objects.bulk_update(known, STORED)
