"""Celery tasks; in-process when there is no Redis."""

from celery import shared_task

from . import service as outbox


@shared_task
def keep_promise(entry_id: int) -> bool:
    """Keep one promise of the outbox."""
    return outbox.keep(entry_id)


@shared_task
def sweep_outbox() -> int:
    """Hand over again what was lost on the way; run by beat every minute."""
    return outbox.sweep()
