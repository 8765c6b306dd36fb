"""Keeping one promise: claimed first, done, then marked; put off for longer each time it fails.

The row is claimed by a conditional update, and no lock is held while the handler talks to a mail server or
draws a picture. A second worker finds nothing to claim. The claim is short and held by signs of life
(``holding.py``): of a worker that is killed it runs out within a minute, and the sweep finds the row again.
"""

from __future__ import annotations

import logging
from datetime import timedelta

from django.db import models, transaction
from django.utils import timezone

from . import signals
from .handlers import handler_of
from .holding import LEASE, held
from .models import OutboxEntry

logger = logging.getLogger(__name__)
MAX_ATTEMPTS = 8
FIRST_DELAY_S = 30
State = OutboxEntry.State


class LaterError(Exception):
    """Raised by a handler while another one is at the same work: should that one die, this one does it."""


def keep(entry_id: int) -> bool:
    """Do what was promised; return whether this call kept it."""
    if not claim(entry_id):
        return False
    entry = OutboxEntry.objects.get(pk=entry_id)
    try:
        with held(entry_id):
            _do(entry)
    except LaterError:
        _wait_for_another(entry)
        return False
    except Exception as error:
        logger.exception("promise %s was not kept", entry.key)
        _put_off(entry, error)
        return False
    return True


def _wait_for_another(entry: OutboxEntry) -> None:
    """Look again soon; it is no failure that somebody else is at it."""
    soon = timezone.now() + timedelta(seconds=FIRST_DELAY_S)
    OutboxEntry.objects.filter(pk=entry.pk).update(next_attempt_at=soon, attempts=entry.attempts - 1)


def claim(entry_id: int) -> bool:
    """Take a waiting row that is due, if nobody else has; the claim runs out after ``LEASE``."""
    now = timezone.now()
    due = OutboxEntry.objects.filter(pk=entry_id, state=State.WAITING, next_attempt_at__lte=now)
    return bool(due.update(attempts=models.F("attempts") + 1, next_attempt_at=now + LEASE))


def _do(entry: OutboxEntry) -> None:
    handler = handler_of(entry.kind)
    if handler.atomic:
        with transaction.atomic():
            handler.keep(entry.payload)
            _mark_kept(entry.pk)
    else:
        handler.keep(entry.payload)
        _mark_kept(entry.pk)


def _mark_kept(entry_id: int) -> None:
    OutboxEntry.objects.filter(pk=entry_id).update(state=State.DONE, done_at=timezone.now(), last_error="")


def _put_off(entry: OutboxEntry, error: Exception) -> None:
    """Record the failure and when to try again, or give up; tell whoever wants to know."""
    entry.last_error = f"{type(error).__name__}: {error}"[:2000]
    entry.next_attempt_at = timezone.now() + timedelta(seconds=FIRST_DELAY_S * 2**entry.attempts)
    given_up = entry.attempts >= MAX_ATTEMPTS
    if given_up:
        entry.state = State.FAILED
    entry.save(update_fields=["last_error", "next_attempt_at", "state"])
    try:
        failed = handler_of(entry.kind).failed
    except KeyError:
        failed = None
    if failed:
        failed(entry.payload, entry.last_error, given_up)
    if given_up:
        signals.given_up.send_robust(OutboxEntry, entry=entry)


def due_ids(limit: int) -> list[int]:
    """Return the promises that are due and still waiting, longest due first."""
    due = OutboxEntry.objects.filter(state=State.WAITING, next_attempt_at__lte=timezone.now())
    return list(due.order_by("next_attempt_at").values_list("pk", flat=True)[:limit])
