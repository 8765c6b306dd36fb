"""What can happen to a build: started, saved, named, duplicated, sent.

Every function that changes something is one transaction. The server decides: what is stored is the
selection, and everything shown is worked out from it anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from configurator.catalogue import snapshot
from configurator.words import joined

from .carrying import carry
from .comparing import DAYS, PART, TOTAL, VERDICT, Difference, compare
from .evaluate import evaluate
from .evaluation import Evaluation
from .models import SHARE_LINK, Spec, SpecRevision
from .plain_names import without_links
from .selection import Selection
from .sentences import say
from .signals import spec_sent
from .vin import check_vin


class AlreadySentError(Exception):
    """The build has been sent; it is the workshop's now and cannot be changed here."""


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


@transaction.atomic
def start_build(*, generation: str, language: str = "en-gb", body_finish: str | None = None) -> Spec:
    """Begin a build of a known generation under a new private link."""
    catalogue = snapshot.current()
    selection = Selection(generation=generation, body_finish=body_finish)
    if generation not in catalogue.generations:
        raise KeyError(generation)
    return Spec.objects.create(
        selection=selection.model_dump(mode="json"), language=language, catalogue_version=catalogue.version
    )


@transaction.atomic
def start_like(*, spec_id: int, generation: str, language: str = "en-gb") -> tuple[Spec, tuple[str, ...]]:
    """Begin a build of a known generation with another build's choices, as far as they go for it.

    Only what was chosen is carried, never who chose it. Returns the new build, and in words what is
    another now or was left out; raises ``KeyError`` for an unknown generation.
    """
    catalogue = snapshot.current()
    other = Spec.objects.get(pk=spec_id)
    carried = carry(Selection.model_validate(other.selection), generation, catalogue)
    spec = Spec.objects.create(
        selection=carried.selection.model_dump(mode="json"),
        language=language,
        catalogue_version=catalogue.version,
    )
    return spec, carried.told


@transaction.atomic
def working_copy(*, selection: Selection, language: str, name: str, back_to: str) -> Spec:
    """Begin a copy of a build to choose on, for the page at the address ``back_to`` of this site.

    It holds the very selection that was given: nothing is stated that was not. It has no contact and is
    never sent.
    """
    return Spec.objects.create(
        selection=selection.model_dump(mode="json"),
        language=language,
        name=name[:80],
        catalogue_version=snapshot.current().version,
        back_to=back_to,
    )


@transaction.atomic
def save_build(*, spec_id: int, selection: Selection, contact: dict[str, str] | None = None) -> Evaluation:
    """Keep the selection, with what was typed so far, and return its evaluation.

    A selection with problems is kept as well: nothing the customer chose is lost. Raises
    ``AlreadySentError`` when the build has been sent.
    """
    spec = Spec.objects.select_for_update().get(pk=spec_id)
    if spec.sent_at:
        raise AlreadySentError
    evaluation = evaluate(selection, snapshot.current())
    spec.selection = selection.model_dump(mode="json")
    spec.evaluation = kept_form(evaluation)
    spec.catalogue_version = evaluation.catalogue_version
    if contact is not None:
        spec.contact = contact
    spec.save()
    return evaluation


def last_shown(spec: Spec) -> Evaluation | None:
    """Return the stored evaluation while it is of the stored selection and the live catalogue.

    It holds all but what could have been chosen instead, which the page alone shows.
    """
    if not spec.evaluation or spec.catalogue_version != snapshot.current().version:
        return None
    known = Evaluation.model_validate(spec.evaluation)
    return known if _still_holds(known, spec) else None


def keep_typed(*, spec_id: int, contact: dict[str, str]) -> None:
    """Keep what was typed so far of a build that was not sent."""
    Spec.objects.filter(pk=spec_id, sent_at=None).update(contact=contact)


def kept_form(evaluation: Evaluation) -> dict[str, Any]:
    """Return what is stored of an evaluation: what could have been chosen instead is for the page alone."""
    return evaluation.model_copy(update={"options": {}}).kept()


def look_at(spec: Spec) -> Evaluation:
    """Evaluate a build as it would be today, changing nothing."""
    return look(Selection.model_validate(spec.selection))


def look(selection: Selection) -> Evaluation:
    """Evaluate a selection that is stored nowhere."""
    return evaluate(selection, snapshot.current())


def keep_language(*, spec_id: int, language: str) -> None:
    """Remember the language that the customer last used; mails and papers speak it from then on."""
    Spec.objects.filter(pk=spec_id).exclude(language=language).update(language=language)


@transaction.atomic
def name_build(*, spec_id: int, name: str) -> None:
    """Give the build a name of the customer's own."""
    Spec.objects.select_for_update().filter(pk=spec_id).update(
        name=without_links(name.replace("\x00", "")).strip()[:80]
    )


@transaction.atomic
def take_back_share(*, spec_id: int) -> None:
    """Have the link that was shown to others open nothing any more; a new one takes its place."""
    spec = Spec.objects.select_for_update().get(pk=spec_id)
    SHARE_LINK.renew(spec)
    spec.save(update_fields=SHARE_LINK.fields)


@transaction.atomic
def duplicate_build(*, spec_id: int) -> Spec:
    """Copy selection and contact into a new, unsent build; photos stay with the first."""
    spec = Spec.objects.get(pk=spec_id)
    name = f"{spec.name} (copy)" if spec.name else ""
    return Spec.objects.create(
        selection=spec.selection,
        contact=spec.contact,
        name=name[:80],
        language=spec.language,
        catalogue_version=spec.catalogue_version,
        evaluation=spec.evaluation,
    )


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
    evaluation: Evaluation | None = None,
) -> SentResult:
    """Freeze the build as revision 1 and have the shop make its draft job, all or nothing.

    The build's row is locked: a double click, the back button and a second tab find it sent and get
    the same revision and address. Raises ``StaleBuildError`` when the catalogue has changed what was
    last shown (the new answer is then the one shown, and sending again agrees to it) and
    ``NotSendableError`` when something stands against it. An ``evaluation`` made before is taken where it is
    still that of the stored selection and the live catalogue.
    """
    spec = Spec.objects.select_for_update().get(pk=spec_id)
    if spec.sent_at:
        revision = spec.revisions.earliest("number")
        return SentResult(revision, _announce(revision), made=False)
    if evaluation is None or not _still_holds(evaluation, spec):
        evaluation = look_at(spec)
    if not evaluation.sendable:
        raise NotSendableError(evaluation)
    kept = kept_form(evaluation)
    if spec.evaluation != kept:
        shown = Evaluation.model_validate(spec.evaluation) if spec.evaluation else None
        if changes := what_changed(shown, evaluation):
            raise StaleBuildError(evaluation, changes)
    revision = freeze(
        spec=spec,
        evaluation=evaluation,
        contact=contact,
        terms_version=terms_version,
        terms_text=terms_text,
        kept=kept,
    )
    spec.sent_at = timezone.now()
    spec.save(update_fields=["sent_at"])
    return SentResult(revision, _announce(revision), made=True)


def _still_holds(evaluation: Evaluation, spec: Spec) -> bool:
    same = evaluation.selection == Selection.model_validate(spec.selection)
    return same and evaluation.catalogue_version == snapshot.current().version


def freeze(
    *,
    spec: Spec,
    evaluation: Evaluation,
    contact: Contact,
    terms_version: str = "",
    terms_text: str = "",
    made_by: str = "",
    why: str = "",
    kept: dict[str, Any] | None = None,
) -> SpecRevision:
    """Write the next revision; call it inside a transaction that holds the spec's row."""
    newest = spec.revisions.order_by("-number").first()
    vin = check_vin(contact.vin) if contact.vin else None
    return SpecRevision.objects.create(
        spec=spec,
        number=newest.number + 1 if newest else 1,
        selection=evaluation.selection.model_dump(mode="json"),
        evaluation=kept or kept_form(evaluation),
        catalogue_version=evaluation.catalogue_version,
        name=without_links(contact.name)[:120],
        email=contact.email,
        phone=contact.phone,
        registration=contact.registration,
        vin=vin.vin[:17] if vin else "",
        vin_warning=vin.warning[:200] if vin else "",
        notes=contact.notes,
        language=spec.language,
        terms_version=terms_version,
        terms_text=terms_text,
        made_by=made_by,
        why=why,
    )


def _announce(revision: SpecRevision) -> str:
    """Tell the shop, inside this transaction, and return the address that it gives back."""
    answers = spec_sent.send(sender=SpecRevision, revision=revision)
    return next((str(address) for _receiver, address in answers if address), "/")
