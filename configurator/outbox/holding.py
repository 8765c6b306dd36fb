"""Holding a claim while the work goes on: a sign of life every few seconds, and no longer claim than that.

A worker that is killed gives no sign any more, and its promise is free again within ``LEASE``; work that
takes minutes keeps its claim all the while.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from threading import Event, Thread

from django.db import DatabaseError, connections
from django.utils import timezone

from .models import OutboxEntry

logger = logging.getLogger(__name__)
LEASE = timedelta(seconds=45)
SIGN_EVERY_S = 15.0


@contextmanager
def held(entry_id: int) -> Iterator[None]:
    """Hold the claim of a promise for as long as the block takes."""
    over = Event()
    thread = Thread(target=_signs, args=[entry_id, over], name=f"holds-{entry_id}", daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()


def _signs(entry_id: int, over: Event) -> None:
    while not over.wait(SIGN_EVERY_S):
        try:
            prolong(entry_id)
        except DatabaseError as error:
            logger.warning("no sign of life for promise %s: %s", entry_id, type(error).__name__)
        finally:
            connections.close_all()


def prolong(entry_id: int) -> bool:
    """Hold the claim for another ``LEASE`` from now, if the promise is still being kept."""
    going = OutboxEntry.objects.filter(pk=entry_id, state=OutboxEntry.State.WAITING)
    return bool(going.update(next_attempt_at=timezone.now() + LEASE))
