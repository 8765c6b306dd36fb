"""The frozen evaluation of a revision, read back as data."""

from __future__ import annotations

from configurator.builds.evaluation import Evaluation, FitRow
from configurator.models import SpecRevision


def evaluation_of(revision: SpecRevision) -> Evaluation:
    """Return what was frozen; the live catalogue is not asked."""
    return Evaluation.model_validate(revision.evaluation)


def rows_to_measure(evaluation: Evaluation) -> list[FitRow]:
    """Return the fit rows that only the vehicle can settle."""
    return [
        row for fit in evaluation.fits.values() for row in fit.checks if row.verdict in ("measure", "unknown")
    ]
