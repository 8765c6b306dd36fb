"""Celery tasks of the outbox; in-process when there is no Redis."""

from __future__ import annotations

from celery import shared_task

from . import keeping
from .handlers import queue_of
from .models import OutboxEntry


@shared_task
def keep_promise(entry_id: int) -> bool:
    """Keep one promise of the outbox."""
    return keeping.keep(entry_id)


def hand_over(entry_id: int) -> None:
    """Hand a promise to a worker by its kind's queue; if none can be reached it stays for the sweep."""
    kind = OutboxEntry.objects.values_list("kind", flat=True).get(pk=entry_id)
    keep_promise.apply_async(args=[entry_id], queue=queue_of(kind))


def sweep(limit: int = 200) -> int:
    """Hand over again every promise that is due and still waiting; return how many."""
    ids = keeping.due_ids(limit)
    for entry_id in ids:
        hand_over(entry_id)
    return len(ids)


@shared_task
def sweep_outbox() -> int:
    """Hand over again what was lost on the way; run by beat every minute."""
    return sweep()
