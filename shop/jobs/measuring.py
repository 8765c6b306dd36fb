"""Fit checks that only the vehicle can settle: a measured value in, a verdict out, kept with who and when."""

from __future__ import annotations

import math
from dataclasses import dataclass

from django.db import transaction

from configurator.builds.evaluation import Evaluation, FitRow
from configurator.fitment.arithmetic import VERDICTS, verdict_code

from .errors import StaleError, UnmetError, WrongStateError
from .evaluations import evaluation_of, rows_to_measure
from .models import Job, Measurement
from .roles import By, actor
from .service import check_role, locked, record
from .states import CLOSED, MANAGER, REVIEWER, TECHNICIAN, State

MEASURERS = frozenset({REVIEWER, TECHNICIAN, MANAGER})
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
    """Return what has to be measured at the vehicle for the job's revision, with what was."""
    last = {(done.axle, done.check_id): done for done in job.measurements.select_related("by")}
    rows = rows_to_measure(evaluation or evaluation_of(job.revision))
    return [ToMeasure(row, last.get((row.axle, row.id))) for row in rows]


def measure(
    *, job_id: int, axle: str, check_id: str, value: float, uncertainty: float, by: By, note: str = ""
) -> Measurement:
    """Store what was measured and the verdict it gives: it fits when the margin covers the uncertainty.

    ``value`` is in the row's unit, or the room left where the row tells no figure. The same value by
    the same person again returns the first entry. Raises NotAllowedError, WrongStateError, UnmetError.
    """
    who = actor(by)
    check_role(who, MEASURERS, "Measuring at the vehicle")
    if not (math.isfinite(value) and math.isfinite(uncertainty)) or abs(value) > 1e6:
        raise UnmetError("Enter the measured value as a number.", field="value")
    if uncertainty < 0:
        raise UnmetError("How exactly it was measured cannot be below nothing.", field="uncertainty")
    with transaction.atomic():
        job = locked(job_id)
        if job.state in CLOSED or job.state == State.SENT:
            raise WrongStateError(f"{job.number} is “{State(job.state).label}”: nothing is measured now.")
        row = _row(job, axle, check_id)
        known = job.measurements.filter(axle=axle, check_id=check_id).last()
        if known and (known.value, known.uncertainty, known.by) == (value, uncertainty, who.user):
            return known
        return _store(job, row, value, uncertainty, who, note)


def _row(job: Job, axle: str, check_id: str) -> FitRow:
    for row in rows_to_measure(evaluation_of(job.revision)):
        if (row.axle, row.id) == (axle, check_id):
            return row
    raise StaleError("This revision has no such check to measure. Look at the page again.")


def _store(job: Job, row: FitRow, value: float, uncertainty: float, who: object, note: str) -> Measurement:
    margin = margin_of(row, value)
    done = Measurement.objects.create(
        job=job,
        revision=job.revision,
        axle=row.axle,
        check_id=row.id,
        value=value,
        uncertainty=uncertainty,
        unit=row.unit,
        margin=round(margin, 6),
        verdict=VERDICTS[int(verdict_code(margin, uncertainty))],
        note=note.strip()[:200],
        by=who.user,  # type: ignore[attr-defined]
    )
    record(
        job,
        who,  # type: ignore[arg-type]
        "job.measured",
        why=done.note,
        check=row.id,
        axle=row.axle,
        value=value,
        margin=done.margin,
        verdict=done.verdict,
    )
    return done
