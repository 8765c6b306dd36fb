"""A build is sent: frozen as a revision, and made a draft job by the shop in the same transaction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import transaction
from django.db.models import Subquery
from django.utils import timezone

from configurator.catalogue import snapshot
from configurator.words import joined

from .comparing import DAYS, PART, TOTAL, VERDICT, Difference, compare
from .evaluation import Evaluation
from .models import Spec, SpecRevision
from .plain_names import without_links
from .sentences import say
from .service import can_be_sent, kept_form, look_at
from .signals import spec_sent
from .vin import check_vin

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


class NotSendableError(Exception):
    """The build cannot be sent as it is; ``evaluation`` says why."""

    def __init__(self, evaluation: Evaluation) -> None:
        super().__init__("the build has problems")
        self.evaluation = evaluation


class StaleBuildError(Exception):
    """What the customer saw is no longer what they would get; ``changes`` tells what differs."""

    def __init__(self, evaluation: Evaluation, changes: list[str]) -> None:
        super().__init__("; ".join(changes))
        self.evaluation = evaluation
        self.changes = changes


@dataclass(frozen=True)
class Contact:
    """Who sends it, cleaned by the form."""

    name: str
    email: str
    phone: str = ""
    registration: str = ""
    vin: str = ""
    notes: str = ""


@dataclass(frozen=True)
class SentResult:
    """What came of sending: the frozen revision and where the customer goes next."""

    revision: SpecRevision
    next_url: str
    made: bool


def what_changed(before: Evaluation | None, now: Evaluation) -> list[str]:
    """Say in plain words how the answer to one build differs from the one last shown."""
    if before is None or before.selection != now.selection:
        return []
    found = compare(before, now)
    changes = [text for row in found if (text := _told(row, now))]
    changes += [problem.message for problem in now.problems if problem not in before.problems]
    changes += [joined(c.reasons) for c in now.conflicts if c not in before.conflicts]
    return changes


def _told(row: Difference, now: Evaluation) -> str | None:
    """Return a difference as a sentence; what is neither price, time, fit nor a part says nothing."""
    old, new = row.before, row.after
    currency = now.price.currency if now.price else ""
    if row.what == PART and (old is None or new is None):
        return say("part_gone" if new is None else "part_new", part=row.subject)
    if old is None or new is None:
        return None
    if row.what == TOTAL:
        return say("price_was", before_money=(old, currency), now_money=(new, currency))
    if row.what == DAYS:
        return say("days_were", before_count=old, now_count=new)
    if row.what == VERDICT:
        return say("fit_was", before=say(str(old)), now=say(str(new)))
    return None


@transaction.atomic
def send_build(
    *,
    spec_id: int,
    contact: Contact,
    terms_version: str,
    terms_text: str,
    privacy_version: str = "",
    language: str = "",
    catalogue: Catalogue | None = None,
) -> SentResult:
    """Freeze the build as revision 1 and have the shop make its draft job, all or nothing.

    The build's row is locked: a double click, the back button and a second tab find it sent and get
    the same revision and address. What was last shown is frozen as it is stored while it is of the live
    catalogue, or of the ``catalogue`` that the caller has just read. Raises ``StaleBuildError`` when the
    catalogue has changed what was last shown (the new answer is then the one shown, and sending again agrees
    to it) and ``NotSendableError`` when something stands against it.
    """
    spec = Spec.objects.select_for_update().defer("evaluation").get(pk=spec_id)
    if spec.sent_at:
        revision = spec.revisions.earliest("number")
        return SentResult(revision, _announce(revision, made=False), made=False)
    spec.language = language or spec.language
    as_shown = can_be_sent(spec, catalogue or snapshot.current())
    # Nothing was frozen of what was never sent, so this is the first.
    anew = None if as_shown else _worked_out_anew(spec)
    agreed = {
        "terms_version": terms_version, "terms_text": terms_text, "privacy_version": privacy_version
    }  # fmt: skip
    revision = _write(spec, anew, 1, contact, **agreed)
    spec.sent_at = timezone.now()
    spec.save(update_fields=["sent_at", "language"])
    return SentResult(revision, _announce(revision, made=True), made=True)


def _worked_out_anew(spec: Spec) -> Evaluation:
    """Return what is frozen of a build as of today, if it can be sent and is what was last shown."""
    evaluation = look_at(spec)
    if not evaluation.sendable:
        raise NotSendableError(evaluation)
    if spec.evaluation != kept_form(evaluation):
        shown = Evaluation.model_validate(spec.evaluation) if spec.evaluation else None
        if changes := what_changed(shown, evaluation):
            raise StaleBuildError(evaluation, changes)
    return evaluation


def freeze(*, spec: Spec, evaluation: Evaluation, contact: Contact, **about: str) -> SpecRevision:
    """Write the next revision; call it inside a transaction that holds the spec's row.

    ``about`` may hold ``terms_version``, ``terms_text``, ``privacy_version``, ``made_by`` and ``why``.
    """
    newest = spec.revisions.order_by("-number").values_list("number", flat=True).first() or 0
    return _write(spec, evaluation, newest + 1, contact, **about)


def _write(
    spec: Spec, evaluation: Evaluation | None, number: int, contact: Contact, **about: str
) -> SpecRevision:
    """Write a revision of an evaluation, or without one of what is stored with the spec, as it is."""
    stored = Subquery(Spec.objects.filter(pk=spec.pk).values("evaluation")[:1])
    vin = check_vin(contact.vin) if contact.vin else None
    revision = SpecRevision.objects.create(
        spec=spec,
        number=number,
        selection=evaluation.selection.model_dump(mode="json") if evaluation else spec.selection,
        evaluation=kept_form(evaluation) if evaluation else stored,
        catalogue_version=evaluation.catalogue_version if evaluation else spec.catalogue_version,
        name=without_links(contact.name)[:120],
        email=contact.email,
        phone=contact.phone,
        registration=contact.registration,
        vin=vin.vin[:17] if vin else "",
        vin_warning=vin.warning[:200] if vin else "",
        notes=contact.notes,
        language=spec.language,
        **about,
    )
    if evaluation is None:
        # The database copied it; whoever asks this object for it reads it from there.
        del revision.__dict__["evaluation"]
    return revision


def _announce(revision: SpecRevision, *, made: bool) -> str:
    """Tell the shop, inside this transaction, and return the address that it gives back."""
    answers = spec_sent.send(sender=SpecRevision, revision=revision, made=made)
    return next((str(address) for _receiver, address in answers if address), "/")
