"""Celery tasks of the outbox; in threads of this process when there is no Redis."""

from __future__ import annotations

import logging
import time
from threading import Lock

from celery import shared_task
from django.conf import settings

from . import keeping
from .beside import do_beside
from .handlers import queue_of
from .models import OutboxEntry

logger = logging.getLogger(__name__)
LEFT_ALONE_S = 15.0
_lock = Lock()
_left_alone_until = 0.0


@shared_task
def keep_promise(entry_id: int) -> bool:
    """Keep one promise of the outbox."""
    return keeping.keep(entry_id)


def hand_over(entry_id: int, kind: str = "") -> None:
    """Hand a promise to a worker by its kind's queue; if none can be reached it stays for the sweep.

    A kind that the caller does not know is read from the promise.
    """
    queue = queue_of(kind or OutboxEntry.objects.values_list("kind", flat=True).get(pk=entry_id))
    if settings.KERBLINE_WORK_IN_THREADS:
        do_beside(queue, keeping.keep, entry_id)
    elif settings.CELERY_TASK_ALWAYS_EAGER:
        keep_promise.apply_async(args=[entry_id], queue=queue)
    else:
        _to_broker(entry_id, queue)


def _to_broker(entry_id: int, queue: str) -> None:
    """Send it once, briefly; a broker that does not answer is left alone for a while.

    Whoever waits for the page waits for one try at most, whatever was promised; the sweep does the rest.
    """
    global _left_alone_until
    if time.monotonic() < _left_alone_until:
        return
    try:
        keep_promise.apply_async(args=[entry_id], queue=queue, retry=False)
    except Exception as error:
        with _lock:
            _left_alone_until = time.monotonic() + LEFT_ALONE_S
        logger.warning("the broker does not take promise %s: %s", entry_id, type(error).__name__)


def sweep(limit: int = 200) -> int:
    """Hand over again every promise that is due and still waiting; return how many."""
    ids = keeping.due_ids(limit)
    for entry_id in ids:
        hand_over(entry_id)
    return len(ids)


@shared_task
def sweep_outbox() -> int:
    """Hand over again what was lost on the way; run by beat, or by the clock of one machine."""
    return sweep()
