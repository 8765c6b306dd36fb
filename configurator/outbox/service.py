"""Promise work inside a transaction; have it done after the commit, at least once.

A promise is a row written with the change that needs it, so neither can exist without the other.
After the commit it is handed to Celery (in-process when there is no Redis); a sweep hands over again
whatever was lost on the way. Handlers must be safe to run twice.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from .handlers import handles
from .keeping import MAX_ATTEMPTS, LaterError, keep
from .models import OutboxEntry
from .tasks import hand_over, sweep

__all__ = [
    "MAX_ATTEMPTS",
    "LaterError",
    "dispatch",
    "handles",
    "keep",
    "promise",
    "sweep",
    "try_again",
    "try_now",
]


def promise(*, kind: str, key: str, payload: dict[str, Any], is_first: bool = False) -> OutboxEntry:
    """Write the promise into the present transaction and dispatch it once that commits.

    ``key`` names the deed itself, such as ``mail:17``: promising it again returns the first promise and
    does nothing more. ``is_first`` says that a lock keeps everybody else from promising it: then nothing is
    looked for first.
    """
    new = {"kind": kind, "payload": payload, "next_attempt_at": timezone.now()}
    if is_first:
        entry, made = OutboxEntry.objects.create(key=key, **new), True
    else:
        entry, made = OutboxEntry.objects.get_or_create(key=key, defaults=new)
    if made:
        transaction.on_commit(lambda: dispatch(entry.pk, kind), robust=True)
    return entry


def dispatch(entry_id: int, kind: str = "") -> None:
    """Hand a promise to a worker; if none can be reached it stays for the sweep."""
    hand_over(entry_id, kind)


@transaction.atomic
def try_now(entry_id: int) -> None:
    """Give one promise that is not kept another set of tries, the first at once."""
    OutboxEntry.objects.filter(pk=entry_id).exclude(state=OutboxEntry.State.DONE).update(
        state=OutboxEntry.State.WAITING, attempts=0, next_attempt_at=timezone.now()
    )
    transaction.on_commit(lambda: dispatch(entry_id), robust=True)


@transaction.atomic
def try_again(keys: Iterable[str] | None = None) -> int:
    """Give promises that were given up another set of tries, these or all; return how many."""
    failed = OutboxEntry.objects.select_for_update().filter(state=OutboxEntry.State.FAILED)
    ids = list((failed if keys is None else failed.filter(key__in=keys)).values_list("pk", flat=True))
    OutboxEntry.objects.filter(pk__in=ids).update(
        state=OutboxEntry.State.WAITING, attempts=0, next_attempt_at=timezone.now()
    )
    for entry_id in ids:
        transaction.on_commit(lambda entry_id=entry_id: dispatch(entry_id), robust=True)  # type: ignore[misc]
    return len(ids)
