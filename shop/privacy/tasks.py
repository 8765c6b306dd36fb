"""Celery task of privacy; in-process when there is no Redis."""

from celery import shared_task

from .forgetting import note_purge
from .forgetting import purge as purge_all


@shared_task
def purge() -> str:
    """Let go of what has been kept long enough; run by beat every night."""
    return note_purge(purge_all())
