"""What of a job's fit is settled: the checks that only the vehicle can answer, with what was measured."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from configurator.builds.evaluation import Evaluation, FitRow
from configurator.fitment.arithmetic import VERDICTS

from .evaluations import evaluation_of, rows_to_measure
from .models import Job, Measurement

CLOSE = 1e-6


@dataclass(frozen=True)
class ToMeasure:
    """One row with what was measured for it last, if anything."""

    row: FitRow
    done: Measurement | None

    @property
    def key(self) -> str:
        """Name it in a form."""
        return f"{self.row.axle}-{self.row.id}"

    @property
    def verdict(self) -> str:
        """The verdict as it stands now."""
        return self.done.verdict if self.done else self.row.verdict

    @property
    def asks_for_margin(self) -> bool:
        """Whether the row gives no figure to compare with, so that the room left is asked for."""
        return direction(self.row) == 0


def direction(row: FitRow) -> int:
    """Return 1 when the value must not be below the limit, -1 when not above, 0 when neither is told."""
    if not isinstance(row.value, float | int) or not isinstance(row.limit, float | int) or row.margin is None:
        return 0
    for sign in (1, -1):
        if math.isclose(sign * (row.value - row.limit), row.margin, rel_tol=CLOSE, abs_tol=0.011):
            return sign
    return 0


def margin_of(row: FitRow, value: float) -> float:
    """Return the margin that a measured value leaves, in the row's unit."""
    sign = direction(row)
    return sign * (value - float(row.limit)) if sign and row.limit is not None else value


def to_measure(job: Job, evaluation: Evaluation | None = None) -> list[ToMeasure]:
    """Return what has to be measured at the vehicle for the job's revision, with what was.

    What was measured for an earlier revision counts on only where the very same was asked then: another
    wheel leaves other room.
    """
    last = {(done.axle, done.check_id): done for done in job.measurements.select_related("by", "revision")}
    found = []
    for row in rows_to_measure(evaluation or evaluation_of(job.revision)):
        done = last.get((row.axle, row.id))
        found.append(ToMeasure(row, done if done and _still_counts(done, job, row) else None))
    return found


def _still_counts(done: Measurement, job: Job, row: FitRow) -> bool:
    if done.revision_id == job.revision_id:
        return True
    asked = [old for old in rows_to_measure(evaluation_of(done.revision)) if old.id == row.id]
    now = (row.axle, row.value, row.limit, row.unit)
    return any((old.axle, old.value, old.limit, old.unit) == now for old in asked)


@dataclass(frozen=True)
class Standing:
    """Verdicts of a job's fit, with what was measured put in place of what had to be: of all, and by axle."""

    verdict: str
    axles: dict[str, str]


def standing(job: Job, evaluation: Evaluation) -> Standing:
    """Return where a job's fit stands now; ``evaluation`` is that of its revision."""
    settled = {(each.row.axle, each.row.id): each.verdict for each in to_measure(job, evaluation)}
    axles = {
        place: _worst((settled.get((row.axle, row.id), row.verdict) for row in fit.checks), fit.verdict)
        for place, fit in evaluation.fits.items()
    }
    return Standing(_worst(axles.values(), evaluation.verdict), axles)


def _worst(verdicts: Iterable[str], calculated: str) -> str:
    """Return the worst of these; ``calculated`` stays where there is nothing to go by."""
    return max((v for v in verdicts if v in VERDICTS), key=VERDICTS.index, default=calculated)


def says_no(job: Job, evaluation: Evaluation | None = None) -> bool:
    """Whether a check says no, by calculation or as measured at the vehicle."""
    evaluation = evaluation or evaluation_of(job.revision)
    return evaluation.verdict == "no" or any(each.verdict == "no" for each in to_measure(job, evaluation))
