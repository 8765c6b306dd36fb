"""Fit checks that only the vehicle can settle: a measured value in, a verdict out, kept with who and when."""

from __future__ import annotations

import math

from django.db import transaction
from django.utils.translation import gettext as _

from configurator.builds.evaluation import FitRow
from configurator.fitment.arithmetic import VERDICTS, verdict_code

from .errors import StaleError, UnmetError, WrongStateError
from .evaluations import evaluation_of, rows_to_measure
from .models import Job, Measurement
from .moving import check_role, locked, record
from .plausible import doubtful
from .roles import By, actor
from .settled import margin_of
from .states import CLOSED, MANAGER, REVIEWER, TECHNICIAN, State

MEASURERS = frozenset({REVIEWER, TECHNICIAN, MANAGER})


def measure(
    *,
    job_id: int,
    axle: str,
    check_id: str,
    value: float,
    uncertainty: float,
    by: By,
    note: str = "",
    sure: bool = False,
) -> Measurement:
    """Store what was measured and the verdict it gives: it fits when the margin covers the uncertainty.

    ``value`` is in the row's unit, or the room left where the row tells no figure. The same value by
    the same person again returns the first entry. A value that can hardly be is questioned: kept only when
    whoever measured is ``sure``. Raises NotAllowedError, WrongStateError, UnmetError.
    """
    who = actor(by)
    check_role(who, MEASURERS, _("Measuring at the vehicle"))
    if not (math.isfinite(value) and math.isfinite(uncertainty)) or abs(value) > 1e6:
        raise UnmetError(_("Enter the measured value as a number."), field="value")
    if uncertainty < 0:
        raise UnmetError(_("How exactly it was measured cannot be below nothing."), field="uncertainty")
    with transaction.atomic():
        job = locked(job_id)
        if job.state in CLOSED or job.state == State.SENT:
            raise WrongStateError(
                _("%(number)s is “%(state)s”: nothing is measured now.")
                % {"number": job.number, "state": State(job.state).label}
            )
        row = _row(job, axle, check_id)
        if not sure and (doubt := doubtful(row, value, uncertainty)):
            raise UnmetError(doubt, field="value")
        known = job.measurements.filter(axle=axle, check_id=check_id).last()
        if known and (known.value, known.uncertainty, known.by) == (value, uncertainty, who.user):
            return known
        return _store(job, row, value, uncertainty, who, note)


def _row(job: Job, axle: str, check_id: str) -> FitRow:
    for row in rows_to_measure(evaluation_of(job.revision)):
        if (row.axle, row.id) == (axle, check_id):
            return row
    raise StaleError(_("This revision has no such check to measure. Look at the page again."))


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
