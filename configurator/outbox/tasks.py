"""Celery tasks of the outbox; in-process when there is no Redis."""

from __future__ import annotations

import threading

from celery import shared_task
from django.conf import settings
from django.db import connections

from . import keeping
from .handlers import PLANS, queue_of
from .models import OutboxEntry


@shared_task
def keep_promise(entry_id: int) -> bool:
    """Keep one promise of the outbox."""
    return keeping.keep(entry_id)


def hand_over(entry_id: int) -> None:
    """Hand a promise to a worker by its kind's queue; if none can be reached it stays for the sweep."""
    kind = OutboxEntry.objects.values_list("kind", flat=True).get(pk=entry_id)
    if queue_of(kind) == PLANS and settings.KERBLINE_LONG_WORK_IN_THREADS:
        # Where tasks run in-process, what takes long would hold up the page of whoever asked for it.
        threading.Thread(target=_keep_apart, args=[entry_id], name=f"promise-{entry_id}").start()
        return
    keep_promise.apply_async(args=[entry_id], queue=queue_of(kind))


def _keep_apart(entry_id: int) -> None:
    try:
        keeping.keep(entry_id)
    finally:
        connections.close_all()


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
