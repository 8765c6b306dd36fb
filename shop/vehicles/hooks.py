"""What the vehicles' room does when something happens to a job."""

from __future__ import annotations

from typing import Any

from shop.jobs.models import Job

from .models import AxleReading


def when_job_forgotten(sender: object, job: Job, **kwargs: Any) -> None:
    """Keep the length that was measured for a job, without what was written beside it."""
    AxleReading.objects.filter(job=job).update(note="", disputed_why="")
