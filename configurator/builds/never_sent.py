"""Vehicles of which no customer could ever send a build: found by trying what there is to choose."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain, islice

from django.utils.translation import gettext as _

from configurator.catalogue import selectors, wholeness
from configurator.catalogue.models import Generation, Option
from configurator.catalogue.snapshot import Catalogue
from configurator.catalogue.sources import Finding
from configurator.words import joined

from .evaluate import evaluate
from .evaluation import Evaluation
from .offers import spacer_offers, wheel_offers
from .selection import AxleSelection, Selection

MOST_OPTIONS, MOST_PARTS = 40, 8
BY_FIT = ("fits", "measure", "unknown", "no")


@wholeness.looks
def never_sent(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield each vehicle for which no single option, wheel or spacer makes a build that can be sent."""
    for generation in catalogue.generations.values():
        why = _why_never(generation, catalogue)
        if why is not None:
            yield Finding("generations.csv", 0, generation.code, why)


def _why_never(generation: Generation, catalogue: Catalogue) -> str | None:
    """Return why no build can be sent, or None where one can."""
    first = ""
    for selection in _candidates(generation, catalogue):
        found = evaluate(selection, catalogue)
        if found.sendable:
            return None
        first = first or _against(found)
    if not first:
        return _("Nothing can be chosen for it: no option, wheel or spacer is made for it.")
    return _("No build of it can ever be sent. The first that was tried: %(why)s") % {"why": first}


def _against(found: Evaluation) -> str:
    for problem in found.problems:
        return str(problem.message)
    for conflict in found.conflicts:
        return joined(conflict.reasons)
    return found.verdict


def _candidates(generation: Generation, catalogue: Catalogue) -> Iterable[Selection]:
    """Return builds with one thing chosen each, the likeliest first."""
    colours = [one.code for one in generation.body_finishes.all()]
    accents = [one.code for one in selectors.accents(catalogue)]
    plain = Selection(
        generation=generation.code,
        body_finish=colours[0] if colours else None,
        accent=accents[0] if accents else None,
    )
    return chain(
        _with_options(generation, catalogue, plain),
        _with_wheels(generation, catalogue, plain),
        _with_spacers(generation, catalogue, plain),
    )


def _with_options(generation: Generation, catalogue: Catalogue, plain: Selection) -> Iterator[Selection]:
    offered = selectors.options_for(catalogue, generation)
    works = (one for one in offered if one.kind != Option.Kind.FACT)
    for option in islice(works, MOST_OPTIONS):
        yield plain.model_copy(update={"options": (option.code,)})


def _with_wheels(generation: Generation, catalogue: Catalogue, plain: Selection) -> Iterator[Selection]:
    axles = [catalogue.axles.get((generation.code, place)) for place in ("front", "rear")]
    for axle in filter(None, axles):
        offers = wheel_offers(axle, None, catalogue)
        best = sorted(offers, key=lambda code: BY_FIT.index(offers[code].verdict))[:MOST_PARTS]
        for code in best:
            chosen = AxleSelection(wheel=code, tyre=offers[code].tyre)
            yield plain.model_copy(update={axle.position: chosen})
            yield plain.model_copy(update={"front": chosen, "rear": chosen})


def _with_spacers(generation: Generation, catalogue: Catalogue, plain: Selection) -> Iterator[Selection]:
    axle = catalogue.axles.get((generation.code, "rear"))
    if axle is not None:
        offers = spacer_offers(axle, None, None, catalogue)
        for code in sorted(offers, key=lambda one: BY_FIT.index(offers[one].verdict))[:MOST_PARTS]:
            yield plain.model_copy(update={"rear": AxleSelection(spacer=code)})
