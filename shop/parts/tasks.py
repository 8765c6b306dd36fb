"""Celery tasks of parts; in-process when there is no Redis."""

from celery import shared_task

from .progress import look_at_all


@shared_task
def look_at_parts() -> int:
    """Look at every job that waits for parts, so that what became late overnight is seen; run by beat."""
    return look_at_all()
