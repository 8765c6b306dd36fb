"""Ready-made looks: what the workshop has composed, judged for a vehicle and taken on a customer's build.

A look says what is chosen and nothing of the vehicle: what a customer stated of theirs, its colour included,
stays when a look is taken. Everything else is the look's, so that what comes of it is what was
shown. What it took the place of is kept on the build, and comes back by one press.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.db import transaction

from configurator.catalogue import snapshot
from configurator.catalogue.models import Option, ReadyLook
from configurator.words import joined

from .evaluate import evaluate
from .evaluation import Evaluation
from .models import Spec
from .selection import NEAREST, POSITIONS, AxleSelection, Selection
from .service import AlreadySentError, note_shown

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

PARTS = ("wheel", "tyre", "spacer")
MOST_JUDGED = 400


@dataclass(frozen=True)
class Judged:
    """A look on a vehicle: the selection that comes of it, and what the server says to that."""

    look: ReadyLook
    evaluation: Evaluation

    @property
    def selection(self) -> Selection:
        """What is chosen when it is taken."""
        return self.evaluation.selection

    @property
    def stands(self) -> bool:
        """Whether it could be sent as it is; a colour of the body that is still to be said does not count."""
        found = self.evaluation
        return not self.reasons and found.price is not None

    @property
    def reasons(self) -> list[str]:
        """Why it cannot be offered, each as a text; nothing where it can."""
        found = self.evaluation
        wrong = [one.message for one in found.problems if not (one.asks and one.field == "body_finish")]
        wrong += [joined(one.reasons) for one in found.conflicts]
        if found.verdict == "no":
            wrong += [one.headline for one in found.fits.values() if one.verdict == "no"]
        return wrong


OF_THE_BODY = ("body_finish", "body_hex", "body_code")
"""What a selection states of the vehicle's own colour: no look changes it."""


def chosen_by(look: ReadyLook) -> Selection:
    """Return a look as a selection by itself, in the colour that it is shown in."""
    axles: dict[str, Any] = {
        position: AxleSelection(**{part: getattr(look, f"{position}_{part}") or None for part in PARTS})
        for position in POSITIONS
    }
    return Selection(
        generation=look.generation.code,
        body_finish=look.body_finish or None,
        accent=look.accent or None,
        accent_wanted_hex=look.accent_wanted_hex or None,
        accent_way=look.accent_way,  # type: ignore[arg-type]
        options=tuple(look.options),
        finishes=dict(one.split(":", 1) for one in look.finishes),
        **axles,
    )


def fields_of(selection: Selection, catalogue: Catalogue) -> dict[str, Any]:
    """Return a selection as the fields of a look's row; what it states of the vehicle is left out."""
    options = [code for code in selection.options if not _is_fact(code, catalogue)]
    found: dict[str, Any] = {
        "generation": selection.generation,
        "body_finish": selection.body_finish or "",
        "accent": selection.accent or "",
        "accent_wanted_hex": selection.accent_wanted_hex or "",
        "accent_way": selection.accent_way,
        "options": options,
        "finishes": [f"{code}:{finish}" for code, finish in sorted(selection.finishes.items())],
    }
    for position in POSITIONS:
        for part in PARTS:
            found[f"{position}_{part}"] = getattr(selection.axle(position), part) or ""
    return found


def taken(look: ReadyLook, selection: Selection, catalogue: Catalogue) -> Selection:
    """Return a build with a look on it: the vehicle's facts and its colour stay, all else is the look's."""
    chosen = chosen_by(look)
    facts = tuple(code for code in selection.options if _is_fact(code, catalogue))
    return chosen.model_copy(
        update={
            "generation": selection.generation,
            **{name: getattr(selection, name) for name in OF_THE_BODY},
            "options": tuple(sorted({*chosen.options, *facts})),
        }
    )


def _is_fact(code: str, catalogue: Catalogue) -> bool:
    option = catalogue.options.get(code)
    return option is not None and option.kind == Option.Kind.FACT


def is_on(look: ReadyLook, selection: Selection, catalogue: Catalogue) -> bool:
    """Whether a build is just what a look makes of its vehicle; a page states every finish, a look few."""
    return _plain(selection, catalogue) == _plain(taken(look, selection, catalogue), catalogue)


def _plain(selection: Selection, catalogue: Catalogue) -> Selection:
    """Return a selection without the finishes that its options have anyway."""
    usual = {code: row.finish_choices[0] for code, row in catalogue.options.items() if row.finish_choices}
    stated = {code: one for code, one in selection.finishes.items() if usual.get(code) != one}
    return selection.model_copy(update={"finishes": stated})


def judged(look: ReadyLook, selection: Selection | None, catalogue: Catalogue) -> Judged:
    """Return a look as it would be on a build, or without one on the vehicle as it usually is.

    A vehicle whose colour is not said is judged in the colour that the look is shown in. Each answer is
    worked out once a catalogue.
    """
    wanted = chosen_by(look) if selection is None else taken(look, selection, catalogue)
    if not wanted.body_is_said:
        wanted = wanted.model_copy(update={"body_finish": shown_in(look, catalogue)})
    key = wanted.model_dump_json()
    answer = catalogue.once("looks judged", key, lambda: evaluate(wanted, catalogue), most=MOST_JUDGED)
    return Judged(look, answer)


def shown_in(look: ReadyLook, catalogue: Catalogue) -> str | None:
    """Return the body colour that a look is shown in: its own, or else the vehicle's first."""
    generation = catalogue.generations.get(look.generation.code)
    colours = [one.code for one in generation.body_finishes.all()] if generation else []
    return look.body_finish if look.body_finish in colours else next(iter(colours), None)


def of_generation(generation: str, catalogue: Catalogue) -> list[ReadyLook]:
    """Return the looks composed for a vehicle, in their order."""
    return [one for one in catalogue.looks.values() if one.generation.code == generation]


def offered(generation: str, catalogue: Catalogue, selection: Selection | None = None) -> list[Judged]:
    """Return the looks that stand on a vehicle: by itself, or with what a build states of it."""
    found = (judged(one, selection, catalogue) for one in of_generation(generation, catalogue))
    return [one for one in found if one.stands]


def fallen(catalogue: Catalogue) -> list[Judged]:
    """Return the looks that are not retired and do not stand, with why."""
    found = (judged(one, None, catalogue) for one in catalogue.looks.values())
    return [one for one in found if not one.stands]


class UnknownLookError(Exception):
    """There is no such look for this vehicle, or no longer."""


def find(code: str, generation: str, catalogue: Catalogue) -> ReadyLook:
    """Return a look that is offered for a vehicle; raises UnknownLookError."""
    look = catalogue.looks.get(code)
    if look is None or look.generation.code != generation or not judged(look, None, catalogue).stands:
        raise UnknownLookError(code)
    return look


@transaction.atomic
def put_on(*, spec_id: int, code: str, selection: Selection | None = None) -> Evaluation:
    """Take a look on a build and keep what it takes the place of.

    ``selection`` is what the build's page says by now, by default what is stored. Taking a look that is on
    already changes nothing. Raises UnknownLookError and AlreadySentError.
    """
    spec = _locked(spec_id)
    catalogue = snapshot.current()
    before = selection or Selection.model_validate(spec.selection)
    look = find(code, before.generation, catalogue)
    after = taken(look, before, catalogue)
    if after != before:
        spec.before_look = before.model_dump(mode="json")
    return _stored(spec, after, catalogue)


@transaction.atomic
def put_back(*, spec_id: int, selection: Selection | None = None) -> Evaluation:
    """Put back what a look took the place of; what stood until now is kept in its turn.

    Facts stated meanwhile stay stated. Does nothing where no look was taken; raises AlreadySentError.
    """
    spec = _locked(spec_id)
    catalogue = snapshot.current()
    now = selection or Selection.model_validate(spec.selection)
    if spec.before_look is None:
        return _stored(spec, now, catalogue)
    before = Selection.model_validate(spec.before_look)
    facts = {code for code in now.options if _is_fact(code, catalogue)}
    works = {code for code in before.options if not _is_fact(code, catalogue)}
    body = {name: getattr(now, name) for name in OF_THE_BODY}
    back = before.model_copy(update={"options": tuple(sorted(facts | works)), **body})
    spec.before_look = now.model_dump(mode="json")
    return _stored(spec, back, catalogue)


def _locked(spec_id: int) -> Spec:
    spec = Spec.objects.select_for_update().get(pk=spec_id)
    if spec.sent_at:
        raise AlreadySentError
    return spec


def _stored(spec: Spec, selection: Selection, catalogue: Catalogue) -> Evaluation:
    evaluation = evaluate(selection, catalogue)
    note_shown(spec, evaluation)
    spec.save()
    return evaluation


def is_empty(selection: Selection, catalogue: Catalogue) -> bool:
    """Whether nothing is chosen on a build: what is stated of the vehicle is no choice."""
    works = [code for code in selection.options if not _is_fact(code, catalogue)]
    plain = selection.front == selection.rear == AxleSelection()
    return plain and not works and selection.accent is None and selection.accent_way == NEAREST
