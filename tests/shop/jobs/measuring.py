"""What of a job waits to be measured, for walks through the workshop."""

from __future__ import annotations

from shop.jobs.measuring import measure as measure
from shop.jobs.settled import ToMeasure, to_measure
from shop.models import Job


def waiting(job: Job) -> list[ToMeasure]:
    """Return the rows that are not measured, or not measured as fitting."""
    return [each for each in to_measure(job) if each.done is None or each.done.verdict != "fits"]
