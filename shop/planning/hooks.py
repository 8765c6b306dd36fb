"""What the plan hears of jobs and answers about them; connected in ``shop.wiring``."""

from __future__ import annotations

from typing import Any

from shop.jobs.models import Job

from .service import Estimate, estimate, when_job_moved

__all__ = ["when_job_moved", "when_possible"]


def when_possible(sender: object, job: Job, **kwargs: Any) -> Estimate | None:
    """Answer when a job that is not in the plan yet could start and be ready."""
    return estimate(job)
