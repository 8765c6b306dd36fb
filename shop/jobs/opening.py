"""A sent spec becomes a draft job: in the transaction that sends it, or promised there when many send.

A web process opens one job at a time while its customer waits. Whoever sends meanwhile, or within a second of
somebody who was put off, is not kept waiting for the others: the revision is frozen, the job is promised
through the outbox, and its page says so until it is there. Either way the job comes whole, and its link is
known from the start: it is made from the nonce of the spec, under the kind of a job's link.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock
from typing import Any

from django.db import transaction
from django.urls import reverse

from configurator.builds.tokens import digest_of, new_nonce, token_of
from configurator.models import OutboxEntry, Spec, SpecRevision
from configurator.outbox.handlers import handles
from configurator.outbox.service import promise

from .evaluations import evaluation_of
from .finding import note_words
from .links import tracking_path
from .models import JOB_LINK, Job
from .moving import promise_mail, record
from .numbers import next_number
from .roles import THE_CUSTOMER
from .signals import job_opened
from .steps_kept import rewrite_operations

SERIES = "K"
OPENING = "open_job"
CROWD_S = 1.0
"""Who sends so soon after somebody was put off is put off too."""
_opening = Lock()
_crowd_until = 0.0


def open_job(*, revision: SpecRevision) -> Job:
    """Return the one job of the revision's spec, made with operations, parts list and deposit request.

    Opening it twice returns the first. Sending counts as the customer's yes to this revision.
    """
    with transaction.atomic():
        spec = Spec.objects.select_for_update().get(pk=revision.spec_id)
        known = Job.objects.filter(spec=spec).first()
        if known is not None:
            return known
        evaluation = evaluation_of(revision)
        job = Job.objects.create(
            number=f"~{new_nonce()}"[:20],
            nonce=spec.nonce,
            spec=spec,
            revision=revision,
            customer_agreed_revision=revision,
        )
        rewrite_operations(job, evaluation)
        job_opened.send(Job, job=job, evaluation=evaluation)
        entry = record(job, THE_CUSTOMER, "job.opened", to=job.state, revision=revision.number)
        promise_mail(job, "confirmation", entry.pk, is_first=True)
        # The number comes last: its counter is locked until the commit, and everybody who sends waits for it.
        job.number = next_number(SERIES)
        job.save(update_fields=["number"])
        note_words(job, evaluation)
    return job


def promise_job(revision: SpecRevision) -> None:
    """Promise the job of a revision that is being sent for the first time, under the lock of its spec."""
    key = _key(_first_token(revision.spec))
    promise(kind=OPENING, key=key, payload={"revision_id": revision.pk}, is_first=True)


@handles(OPENING)
def open_promised_job(payload: dict[str, Any]) -> None:
    """Open the job that was promised, unless it is open already."""
    open_job(revision=SpecRevision.objects.select_related("spec").get(pk=payload["revision_id"]))


def promised(token: str) -> OutboxEntry | None:
    """Return the promise of a job that has this link and is not open yet."""
    return OutboxEntry.objects.filter(key=_key(token)).exclude(state=OutboxEntry.State.DONE).first()


def waiting_before(promise: OutboxEntry) -> int:
    """Return how many jobs that were promised earlier are not open yet."""
    waiting = OutboxEntry.objects.filter(kind=OPENING, state=OutboxEntry.State.WAITING)
    return waiting.filter(pk__lt=promise.pk).count()


def _first_token(spec: Spec) -> str:
    """Return the token of the link that the spec's job begins with."""
    return token_of(JOB_LINK.kind, spec.nonce)


def _key(token: str) -> str:
    return f"{OPENING}:{digest_of(token)}"


def _path(token: str) -> str:
    return reverse("tracking:job", args=[token])


def where_followed(sender: object, spec: Spec, **kwargs: Any) -> str:
    """Answer where a sent build is followed, while the link works."""
    job = Job.objects.filter(spec=spec).first()
    if job is not None:
        return tracking_path(job) if job.link_is_live else ""
    token = _first_token(spec)
    return _path(token) if promised(token) else ""


def when_spec_sent(sender: object, revision: SpecRevision, made: bool, **kwargs: Any) -> str:
    """Open the job of a spec that is being sent, or promise it; return where the customer goes next.

    Sent once more (``made`` is False), it leads to the job that is there, or to the same promise.
    """
    if not made and (address := where_followed(sender, revision.spec)):
        return address
    with turn() as at_once:
        if at_once:
            return tracking_path(open_job(revision=revision))
    promise_job(revision)
    return _path(_first_token(revision.spec))


@contextmanager
def turn() -> Iterator[bool]:
    """Whether this job is opened while its customer waits: no other is, and nobody was put off just now."""
    global _crowd_until
    is_free = _opening.acquire(blocking=False)
    try:
        is_quiet = is_free and time.monotonic() >= _crowd_until
        if not is_quiet:
            _crowd_until = time.monotonic() + CROWD_S
        yield is_quiet
    finally:
        if is_free:
            _opening.release()
