"""Forgetting a customer who asks for it, and what has been kept long enough.

Ledgers stay as tax and trade law ask: amounts, days, references, invoices. So do the bare facts of the work
(what was fitted to which torque), without whose vehicle it was and without what anybody typed about it
(``typed.py``). That somebody was forgotten is on record.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from typing import Any

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.conf import settings
from django.core.files.storage import Storage
from django.core.management import call_command
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext

from configurator.models import OutboxEntry, PendingSend, Photo, Spec
from shop.customers.forgetting import forget_records
from shop.jobs.desk import ABOUT_THE_CUSTOMER
from shop.jobs.finding import note_words
from shop.jobs.models import LINK_FIELDS, Job
from shop.jobs.models_bookin import BookInPhoto
from shop.jobs.models_history import HistoryEntry
from shop.jobs.roles import By, actor
from shop.jobs.service import locked, record
from shop.jobs.states import CLOSED
from shop.messages.delivery import key_of
from shop.messages.models import Message, OutgoingMail
from shop.money.models import BillingAddress
from shop.showcase import letting_go as showing
from shop.tracking.models import LinkRequest, NewAddress
from shop.wanted import keeping

from . import typed
from .finding import Kept, kept_about, papers_of

NOBODY = "forgotten"
NO_MAIL = "forgotten@invalid.invalid"


class StillOpenError(ValueError):
    """Jobs of this customer are not over; ``str(error)`` names them."""


@transaction.atomic
def forget(*, email: str, by: By, why: str) -> Kept:
    """Take out who it was from everything that is over; return what was found.

    Raises StillOpenError while a job of theirs is open. Forgetting again finds nothing.
    """
    kept = kept_about(email)
    if kept.open_jobs:
        raise StillOpenError(", ".join(job.number for job in kept.open_jobs))
    if kept.is_being_opened:
        raise StillOpenError(gettext("a build that has just arrived"))
    who = actor(by)
    for job in kept.jobs:
        _forget_job(locked(job.pk))
        record(job, who, typed.FORGOTTEN, why=why)
    for spec in kept.specs:
        _forget_spec(spec)
    PendingSend.objects.filter(email__iexact=kept.email).delete()
    OutboxEntry.objects.filter(payload__email__iexact=kept.email).delete()  # links asked for
    keeping.forget(keeping.of_person(kept.email))
    for job in kept.jobs:
        note_words(Job.objects.select_related("revision", "spec").get(pk=job.pk))
    forget_records(list(kept.jobs), NOBODY)
    return kept


def _forget_job(job: Job) -> None:
    Message.objects.filter(job=job).update(text="–")
    _unsend(OutgoingMail.objects.filter(job=job))
    OutgoingMail.objects.filter(job=job).update(to=NO_MAIL, subject="–", text="", html="")
    typed.empty(job)
    # Of calls, notes, a yes by telephone and contact that was corrected, who it was with as well.
    HistoryEntry._base_manager.filter(job=job, action__in=ABOUT_THE_CUSTOMER).update(data={})
    for paper in papers_of(job):
        _remove(paper.file.storage, [paper.file.name])
        paper.delete()
    for step in job.operations.exclude(photo=""):
        _remove(step.photo.storage, [step.photo.name])
        step.photo = ""
        step.save(update_fields=["photo"])
    NewAddress.objects.filter(job=job).delete()
    if not job.invoices.exists():  # one that was issued must go on saying to whom
        BillingAddress.objects.filter(job=job).delete()
    _forget_at_the_vehicle(job)
    showing.forget(job)
    job.renew_link()
    job.token_expires_at, job.recheck_due_on = timezone.now(), None
    job.save(update_fields=[*LINK_FIELDS, "recheck_due_on"])


def _unsend(mails: QuerySet[OutgoingMail]) -> int:
    """Take back those that have not gone out, since nobody is left to get them; return how many."""
    keys = list(mails.exclude(state=OutgoingMail.State.SENT).values_list("pk", flat=True))
    OutboxEntry.objects.filter(key__in=[key_of(pk) for pk in keys]).delete()
    return _deleted(OutgoingMail.objects.filter(pk__in=keys))


def _forget_at_the_vehicle(job: Job) -> None:
    """Take out photos of their vehicle and what they answered when something was found at it."""
    for photo in BookInPhoto.objects.filter(book_in__job=job):
        _remove(photo.file.storage, [photo.file.name])
        photo.delete()
    for proposal in job.proposals.all():
        _remove(proposal.photo.storage, [proposal.photo.name])
        proposal.photo, proposal.said_by, proposal.answer = "", "", ""
        proposal.save(update_fields=["photo", "said_by", "answer"])
    for entry in HistoryEntry._base_manager.filter(job=job, action__in=("change.agreed", "change.refused")):
        data = {name: value for name, value in entry.data.items() if name != "said_by"}
        HistoryEntry._base_manager.filter(pk=entry.pk).update(data=data)


def _forget_spec(spec: Spec) -> None:
    for photo in spec.photos.all():
        _forget_photo(photo)
    if not spec.revisions.exists():
        spec.delete()
        return
    blank = dict.fromkeys(("email", "phone", "registration", "vin", "vin_warning", "notes"), "")
    # Without an address no mail is written any more, whatever was promised or falls due.
    spec.revisions.update(name=NOBODY, **blank)
    Spec.objects.filter(pk=spec.pk).update(name="", contact={})


def _forget_photo(photo: Photo) -> None:
    files = [photo.raw, photo.image, photo.thumbnail]
    _remove(photo.image.storage, [file.name for file in files])
    photo.delete()


def _remove(storage: Storage, names: Iterable[str | None]) -> None:
    """Have files deleted once the rows that named them are gone for good."""
    for name in filter(None, names):
        transaction.on_commit(partial(storage.delete, name), robust=True)


@dataclass(frozen=True)
class Purged:
    """How much was let go of, by kind."""

    builds: int
    mails: int
    promises: int
    requests: int
    sign_ins: int
    vehicles: int
    shown: int


def purge() -> Purged:
    """Let go of what has been kept long enough, by ``RETENTION_DAYS``; run by beat every night.

    Builds never sent, the text of mails of jobs that are over, promises kept, sessions, requests for links,
    records of sign-ins, vehicles asked for, finished builds never shown. What a job or the books need stays.
    """
    call_command("clearsessions")
    PendingSend.objects.filter(expires_at__lt=timezone.now()).delete()
    NewAddress.objects.filter(expires_at__lt=timezone.now()).delete()
    return Purged(
        builds=_purge_builds(),
        mails=_purge_mails(),
        promises=_deleted(OutboxEntry.objects.filter(state="done", done_at__lt=_before("promises"))),
        requests=_deleted(LinkRequest.objects.filter(hour__lt=_before("requests").timestamp() // 3600)),
        sign_ins=sum(
            _deleted(model.objects.filter(attempt_time__lt=_before("sign_ins")))
            for model in (AccessLog, AccessFailureLog, AccessAttempt)
        ),
        vehicles=keeping.purge(_before("vehicle_requests")),
        shown=showing.purge(_before("unshown_builds")),
    )


def _before(what: str) -> Any:
    return timezone.now() - timedelta(days=settings.RETENTION_DAYS[what])


def _purge_builds() -> int:
    """Delete builds that were never sent and not touched for long, each in a transaction of its own."""
    return sum(_purge_build(pk) for pk in list(_untouched().values_list("pk", flat=True)))


def _untouched() -> QuerySet[Spec]:
    return Spec.objects.filter(sent_at=None, changed_at__lt=_before("unsent_builds"))


@transaction.atomic
def _purge_build(pk: int) -> bool:
    # Looked at again under the lock: it may have been sent or changed this very moment.
    spec = _untouched().select_for_update().filter(pk=pk).first()
    if spec is None:
        return False
    _forget_spec(spec)
    return True


@transaction.atomic
def _purge_mails() -> int:
    """Empty what was sent; what was given up long ago goes whole, since it must not go out empty."""
    over = OutgoingMail.objects.filter(job__state__in=CLOSED, job__state_since__lt=_before("mail_text"))
    return _unsend(over) + over.exclude(text="").update(text="", html="")


def _deleted(rows: Any) -> int:
    return int(rows.delete()[0])


def note_purge(done: Purged) -> str:
    """Return in one line what was let go of."""
    return (
        f"{done.builds} builds never sent, the text of {done.mails} mails, {done.promises} promises kept, "
        f"{done.requests} requests, {done.sign_ins} records of sign-ins, {done.vehicles} vehicles asked for, "
        f"{done.shown} finished builds prepared and never shown"
    )
