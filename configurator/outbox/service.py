"""Promise work inside a transaction; have it done after the commit, at least once.

A promise is a row written with the change that needs it, so neither can exist without the other.
After the commit it is handed to Celery (in-process when there is no Redis); a sweep hands over again
whatever was lost on the way. Handlers must be safe to run twice.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from .models import OutboxEntry

logger = logging.getLogger(__name__)
Handler = Callable[[dict[str, Any]], None]
_handlers: dict[str, Handler] = {}
MAX_ATTEMPTS = 8
FIRST_DELAY_S = 30
CLAIM = timedelta(minutes=5)


def handles(kind: str) -> Callable[[Handler], Handler]:
    """Register the function that keeps promises of this kind; used as a decorator."""

    def register(handler: Handler) -> Handler:
        _handlers[kind] = handler
        return handler

    return register


def promise(*, kind: str, key: str, payload: dict[str, Any]) -> OutboxEntry:
    """Write the promise into the present transaction and dispatch it once that commits.

    ``key`` names the deed itself, such as ``mail:confirm:17``: promising it again returns the first
    promise and does nothing more.
    """
    entry, made = OutboxEntry.objects.get_or_create(
        key=key, defaults={"kind": kind, "payload": payload, "next_attempt_at": timezone.now()}
    )
    if made:
        transaction.on_commit(lambda: dispatch(entry.pk), robust=True)
    return entry


def dispatch(entry_id: int) -> None:
    """Hand a promise to a worker; if none can be reached it stays for the sweep."""
    from .tasks import keep_promise

    keep_promise.delay(entry_id)


def keep(entry_id: int) -> bool:
    """Do what was promised; return whether this call kept it.

    The row is claimed first by a conditional update, for as long as a handler may take, and no lock
    is held while the handler talks to a mail server or draws a picture. A second worker finds nothing
    to claim; a worker that dies leaves a claim that runs out, and the sweep finds the row again.
    """
    if not _claim(entry_id):
        return False
    entry = OutboxEntry.objects.get(pk=entry_id)
    try:
        with transaction.atomic():
            _handlers[entry.kind](entry.payload)
            OutboxEntry.objects.filter(pk=entry_id).update(
                state=OutboxEntry.State.DONE, done_at=timezone.now(), last_error=""
            )
    except Exception as error:
        logger.exception("promise %s was not kept", entry.key)
        _put_off(entry, error)
        return False
    return True


def _claim(entry_id: int) -> bool:
    """Take a waiting row that is due, if nobody else has."""
    now = timezone.now()
    due = OutboxEntry.objects.filter(pk=entry_id, state=OutboxEntry.State.WAITING, next_attempt_at__lte=now)
    return bool(due.update(attempts=models.F("attempts") + 1, next_attempt_at=now + CLAIM))


def _put_off(entry: OutboxEntry, error: Exception) -> None:
    """Record the failure and when to try again, or give up."""
    entry.last_error = f"{type(error).__name__}: {error}"[:2000]
    entry.next_attempt_at = timezone.now() + timedelta(seconds=FIRST_DELAY_S * 2**entry.attempts)
    if entry.attempts >= MAX_ATTEMPTS:
        entry.state = OutboxEntry.State.FAILED
    entry.save(update_fields=["last_error", "next_attempt_at", "state"])


def sweep(limit: int = 200) -> int:
    """Hand over again every promise that is due and still waiting; return how many."""
    due = OutboxEntry.objects.filter(state=OutboxEntry.State.WAITING, next_attempt_at__lte=timezone.now())
    ids = list(due.order_by("next_attempt_at").values_list("pk", flat=True)[:limit])
    for entry_id in ids:
        dispatch(entry_id)
    return len(ids)
