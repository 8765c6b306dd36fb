"""Looks composed by staff: chosen on the customer's own page, kept as rows of the catalogue.

A look that is kept is live at once, as a version of the catalogue of its own beside any draft that waits: it
is in the history, can be taken back there, and goes out with the files.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.db import transaction
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _

from configurator.builds import ready_looks, service
from configurator.builds.models import Spec
from configurator.builds.selection import Selection
from configurator.catalogue import amending, drafts, snapshot
from configurator.catalogue.models import ReadyLook
from configurator.catalogue.plain import Plain
from configurator.catalogue.text_rows import TEXTS, key_of_text, live_text

from .languages import other_languages, own_language

KIND = "looks"
FIELDS = ("name", "summary")
LONGEST_CODE = 60


class DoesNotStandError(Exception):
    """What was chosen cannot be sent as it is, so it is no look; ``reasons`` says why."""

    def __init__(self, reasons: Iterable[str]) -> None:
        super().__init__("the look does not stand")
        self.reasons = tuple(reasons)


class ChangedMeanwhileError(Exception):
    """Somebody else changed the look since it was shown."""


Words = Mapping[str, Mapping[str, str]]
"""Name and summary by language, the workshop's own among them."""


@transaction.atomic
def begin(*, generation: str, look: str, language: str) -> Spec:
    """Begin choosing for a new look of a vehicle, or anew for one that there is.

    Raises KeyError where there is no such vehicle, or no such look.
    """
    catalogue = snapshot.current()
    vehicle = catalogue.generations[generation]
    selection = Selection(generation=generation)
    name = _("a look for the %(vehicle)s") % {"vehicle": vehicle}
    if look:
        row = look_of(look)
        if row is None or row.generation.code != generation:
            raise KeyError(look)
        selection, name = ready_looks.chosen_by(row), row.name
    key = secrets.token_urlsafe(12)
    address = reverse("shop:look_keep", args=[key]) + (f"?look={look}" if look else "")
    return service.working_copy(selection=selection, language=language, name=name, back_to=address)


def copy_of(key: str, look: str) -> Spec | None:
    """Return the working copy that a look is chosen on, if it is still there."""
    address = reverse("shop:look_keep", args=[key]) + (f"?look={look}" if look else "")
    return Spec.objects.filter(back_to=address, sent_at=None).first()


def look_of(code: str) -> ReadyLook | None:
    """Return a look as it is live, retired or not."""
    catalogue = snapshot.current()
    found = catalogue.looks.get(code) or catalogue.retired.get(KIND, {}).get(code)
    return found if isinstance(found, ReadyLook) else None


def judged_copy(copy: Spec) -> ready_looks.Judged:
    """Return what was chosen on a copy as the look that it would make."""
    catalogue = snapshot.current()
    selection = Selection.model_validate(copy.selection)
    fields = ready_looks.fields_of(selection, catalogue)
    generation = catalogue.generations[fields.pop("generation")]
    return ready_looks.judged(ReadyLook(code="-", generation=generation, **fields), None, catalogue)


def mark_of(code: str) -> str:
    """Return what a form carries, so that saving can tell whether somebody else was quicker."""
    return drafts.mark_of(drafts.live(KIND, code)) if code else ""


def words_of(code: str) -> Words:
    """Return a look's words in every language, as they are live."""
    row = drafts.live(KIND, code) or {}
    own = {name: str(row.get(name, "")) for name in FIELDS}
    others = {
        language: {name: _said(language, code, name) for name in FIELDS} for language in other_languages()
    }
    return {own_language(): own, **others}


def _said(language: str, code: str, name: str) -> str:
    found = live_text(f"{language}/{KIND}/{code}/{name}")
    return str(found["text"]) if found else ""


@transaction.atomic
def keep(*, copy_id: int, look: str, words: Words, seen: str, by: Any) -> str:
    """Keep what was chosen on a copy as a look, new or in place of one; return its code.

    Raises DoesNotStandError, ChangedMeanwhileError and `going_live.NotLiveError`; nothing is changed then.
    The copy has done its work and goes.
    """
    copy = Spec.objects.select_for_update().get(pk=copy_id)
    judged = judged_copy(copy)
    if not judged.stands:
        raise DoesNotStandError(judged.reasons)
    if seen != mark_of(look):
        raise ChangedMeanwhileError
    fields = ready_looks.fields_of(Selection.model_validate(copy.selection), snapshot.current())
    code = look or _new_code(fields["generation"], _name(words))
    before = drafts.live(KIND, code)
    place = before["position"] if before else _last_place(fields["generation"]) + 1
    row = {"code": code, "position": place, "retired": False, **fields}
    title = _("Look “%(name)s” changed") if before else _("Look “%(name)s” composed")
    _put_live(code, row, words, by=by, title=title % {"name": _name(words)})
    copy.delete()
    return code


@transaction.atomic
def reword(*, code: str, words: Words, seen: str, by: Any) -> None:
    """Change a look's words alone. Raises KeyError and ChangedMeanwhileError."""
    row = _row(code)
    if seen != mark_of(code):
        raise ChangedMeanwhileError
    _put_live(code, row, words, by=by, title=_("Look “%(name)s” reworded") % {"name": _name(words)})


def _put_live(code: str, row: Plain, words: Words, *, by: Any, title: str) -> None:
    row = {**row, **{name: words[own_language()].get(name, "") for name in FIELDS}}
    texts = list(_texts(code, words))
    amending.amend([(KIND, code, row), *texts], by=by, title=title)


def _name(words: Words) -> str:
    return words[own_language()]["name"]


def _texts(code: str, words: Words) -> Iterator[tuple[str, str, Plain | None]]:
    """Yield the translations; what is left empty, or has nothing to translate, goes."""
    for language in other_languages():
        for name in FIELDS:
            source = words[own_language()].get(name, "")
            text = words.get(language, {}).get(name, "")
            row = {
                "language": language,
                "kind": KIND,
                "code": code,
                "field": name,
                "source": source,
                "text": text,
            }
            yield TEXTS, key_of_text(row), row if source and text else None


@transaction.atomic
def move(*, code: str, up: bool, by: Any) -> None:
    """Move a look one place up or down among those of its vehicle. Raises KeyError."""
    row = _row(code)
    catalogue = snapshot.current()
    order = [one.code for one in ready_looks.of_generation(row["generation"], catalogue)]
    if code not in order:
        raise KeyError(code)
    place = order.index(code)
    other = place - 1 if up else place + 1
    if not 0 <= other < len(order):
        return
    order[place], order[other] = order[other], order[place]
    rows = [(KIND, one, {**_row(one), "position": number}) for number, one in enumerate(order, 1)]
    amending.amend(rows, by=by, title=_("Order of the looks"))


@transaction.atomic
def retire(*, code: str, retired: bool, by: Any) -> None:
    """Offer a look no longer, or again. Raises KeyError and `going_live.NotLiveError`."""
    row = _row(code)
    title = _("Look “%(name)s” retired") if retired else _("Look “%(name)s” brought back")
    amending.amend([(KIND, code, {**row, "retired": retired})], by=by, title=title % {"name": row["name"]})


def _row(code: str) -> Plain:
    row = drafts.live(KIND, code)
    if row is None:
        raise KeyError(code)
    return row


def _new_code(generation: str, name: str) -> str:
    base = f"{generation}-{slugify(name) or 'look'}"[: LONGEST_CODE - 4].strip("-.+")
    taken = set(ReadyLook.objects.filter(code__startswith=base).values_list("code", flat=True))
    tries = (base if number == 1 else f"{base}-{number}" for number in range(1, len(taken) + 2))
    return next(code for code in tries if code not in taken)


def _last_place(generation: str) -> int:
    rows = ReadyLook.objects.filter(generation__code=generation).order_by("-position")
    return rows.values_list("position", flat=True).first() or 0
