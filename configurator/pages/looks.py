"""Ready-made looks as the pages show them: picture, price for this vehicle, and what is in them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext, ngettext

from configurator.builds import ready_looks
from configurator.builds.choices import choices
from configurator.builds.evaluation import Evaluation
from configurator.builds.ready_looks import Judged
from configurator.builds.selection import Selection
from configurator.catalogue.snapshot import Catalogue

from .told import told
from .wording import choice_words


@dataclass(frozen=True)
class LookCard:
    """One look to take: ``holds`` what is in it, in words, ``is_on`` whether the build is just that."""

    code: str
    name: str
    summary: str
    picture_url: str
    total: Decimal | None
    days: int
    holds: tuple[str, ...]
    is_on: bool = False
    verdict: str = ""


def card_of(judged: Judged, catalogue: Catalogue, *, is_on: bool = False) -> LookCard:
    """Return a look with what it comes to on the vehicle that it was judged for."""
    found, look = judged.evaluation, judged.look
    return LookCard(
        code=look.code,
        name=told(look.name),
        summary=told(look.summary),
        picture_url=picture_url(look.code, found.selection.body_finish, catalogue),
        total=found.price.total if found.price else None,
        days=found.work.bay_days if found.work else 0,
        holds=held(found, catalogue),
        is_on=is_on,
        verdict=found.verdict,
    )


def held(evaluation: Evaluation, catalogue: Catalogue) -> tuple[str, ...]:
    """Return what is chosen, in words, the accent colour first."""
    names = [choice_words(one) for one in choices(evaluation, catalogue)]
    if evaluation.accent:
        names.insert(0, gettext("Accent colour: %(colour)s") % {"colour": told(evaluation.accent.name)})
    return tuple(names)


def picture_url(code: str, body_finish: str | None, catalogue: Catalogue) -> str:
    """Return the address of a look's picture; it changes with the catalogue, so it may be kept long."""
    asked = {"body": body_finish or "", "v": catalogue.digest[:12]}
    return f"{reverse('configurator:look_picture', args=[code])}?{urlencode(asked)}"


def of_build(selection: Selection, catalogue: Catalogue) -> list[LookCard]:
    """Return the looks for a build's vehicle, as they would be with what is stated of it."""
    found = ready_looks.offered(selection.generation, catalogue, selection)
    return [card_of(one, catalogue, is_on=ready_looks.is_on(one.look, selection, catalogue)) for one in found]


def shown(selection: Selection, catalogue: Catalogue) -> dict[str, Any]:
    """Return what the section of looks shows beside a build; the cards are made when it is drawn.

    ``looks_drawn_from`` differs when it would look different.
    """
    found = ready_looks.offered(selection.generation, catalogue, selection)
    on = [ready_looks.is_on(one.look, selection, catalogue) for one in found]
    told_of = {
        "is_untouched": ready_looks.is_empty(selection, catalogue),
        "colour_unsaid": not selection.body_is_said,
    }
    each = [(one.look.code, one.selection, is_on) for one, is_on in zip(found, on, strict=True)]
    return {
        "looks": partial(of_build, selection, catalogue),
        "looks_drawn_from": (each, told_of),
        **told_of,
    }


def of_vehicle(generation: str, catalogue: Catalogue) -> list[LookCard]:
    """Return the looks for a vehicle of which nothing is known yet."""
    return [card_of(one, catalogue) for one in ready_looks.offered(generation, catalogue)]


def any_for(generation: str, catalogue: Catalogue) -> bool:
    """Whether there is a look to offer for a vehicle as it usually is."""
    return bool(ready_looks.offered(generation, catalogue))


def line(selection: Selection, catalogue: Catalogue) -> tuple[str, bool]:
    """Return what the closed section says, and whether the build is one of the looks."""
    found = ready_looks.offered(selection.generation, catalogue, selection)
    on = [told(one.look.name) for one in found if ready_looks.is_on(one.look, selection, catalogue)]
    if on:
        return on[0], True
    count = len(found)
    said = ngettext("%(count)d look to begin with", "%(count)d looks to begin with", count)
    return said % {"count": count}, False
