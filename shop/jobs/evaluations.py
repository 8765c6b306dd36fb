"""The frozen evaluation of a revision, read back as data."""

from __future__ import annotations

from configurator.builds.evaluation import Evaluation, FitRow
from configurator.models import SpecRevision
from configurator.pages.told import told
from configurator.words import Said

from .models import Job

_READ = "_evaluation_read"
"""Where a revision keeps its evaluation beside the JSON it was read from: pages ask several times."""


def evaluation_of(revision: SpecRevision) -> Evaluation:
    """Return what was frozen, read once for each revision in hand; the live catalogue is not asked."""
    kept: tuple[object, Evaluation] | None = getattr(revision, _READ, None)
    if kept is None or kept[0] is not revision.evaluation:
        kept = (revision.evaluation, Evaluation.model_validate(revision.evaluation))
        setattr(revision, _READ, kept)
    return kept[1]


def rows_to_measure(evaluation: Evaluation) -> list[FitRow]:
    """Return the fit rows that only the vehicle can settle."""
    return [
        row for fit in evaluation.fits.values() for row in fit.checks if row.verdict in ("measure", "unknown")
    ]


def copied(job: Job, text: str) -> str:
    """Return a text that was copied from a job's build in the reader's language."""
    return told(Said.read(text, job.revision.evaluation.get("said", {}).get(text)))
