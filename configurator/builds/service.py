"""What can happen to a build before it is sent: started, saved, named, duplicated.

Every function that changes something is one transaction. The server decides: what is stored is the
selection, and everything shown is worked out from it anew.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import transaction

from configurator.catalogue import snapshot

from .carrying import carry
from .evaluate import evaluate
from .evaluation import Evaluation
from .models import SHARE_LINK, Spec
from .plain_names import without_links
from .selection import Selection

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


class AlreadySentError(Exception):
    """The build has been sent; it is the workshop's now and cannot be changed here."""


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
def start_with(
    *, selection: Selection, generation: str, language: str = "en-gb"
) -> tuple[Spec, tuple[str, ...]]:
    """Begin a build of a known generation with choices that were made elsewhere, as far as they go for it.

    Only what was chosen is carried, never who chose it. Returns the new build, and in words what is
    another now or was left out; raises ``KeyError`` for an unknown generation.
    """
    catalogue = snapshot.current()
    carried = carry(selection, generation, catalogue)
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
def save_build(
    *, spec_id: int, selection: Selection, contact: dict[str, str] | None = None, posted: str = ""
) -> Evaluation:
    """Keep the selection, with what was typed so far, and return its evaluation.

    ``posted`` is the digest of the choices as they came, where the selection is what was read from them.

    A selection with problems is kept as well: nothing the customer chose is lost. Raises
    ``AlreadySentError`` when the build has been sent.
    """
    spec = Spec.objects.select_for_update().get(pk=spec_id)
    if spec.sent_at:
        raise AlreadySentError
    evaluation = evaluate(selection, snapshot.current())
    note_shown(spec, evaluation, posted)
    if contact is not None:
        spec.contact = contact
    spec.save()
    return evaluation


def note_shown(spec: Spec, evaluation: Evaluation, posted: str = "") -> None:
    """Set the selection, and all that is stored of its answer; the caller saves."""
    spec.selection = evaluation.selection.model_dump(mode="json")
    spec.evaluation = kept_form(evaluation)
    spec.catalogue_version = evaluation.catalogue_version
    spec.is_sendable = evaluation.sendable
    spec.posted_digest = posted


def can_be_sent(spec: Spec, catalogue: Catalogue) -> bool:
    """Whether what was last shown is of this catalogue, and nothing stands against it.

    Told from the row: nothing is worked out anew, nor is the evaluation read.
    """
    return spec.is_sendable and spec.catalogue_version == catalogue.version


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
        is_sendable=spec.is_sendable,
    )
