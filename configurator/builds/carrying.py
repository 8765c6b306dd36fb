"""What was chosen for one vehicle, carried over to another as far as it goes, with what did not come along.

Facts of the other vehicle and the colour of its body are its owner's to say. An option is taken by its own
code, or else by the one of its family that does the same work here; wheels, tyres and spacers by their own
code where they fit, or else by the nearest of the same design and finish.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from configurator.catalogue import selectors
from configurator.catalogue.models import Axle, Family, Generation, Option, Wheel

from . import offers
from .selection import ACCENT, BODY, POSITIONS, AxleSelection, Selection
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

RANK = ("fits", "measure", "unknown")
"""Verdicts that may be carried, the best first; what does not fit is never put on."""


@dataclass(frozen=True)
class Carried:
    """A selection for the other vehicle, and in words what is another now or was left out."""

    selection: Selection
    told: tuple[str, ...] = ()


def carry(selection: Selection, generation: str, catalogue: Catalogue) -> Carried:
    """Return the choices as they go for a generation; raises ``KeyError`` when there is no such one."""
    target = catalogue.generations[generation]
    told: list[str] = []
    codes = _options(selection, target, catalogue, told)
    finishes = {
        codes[code]: finish for code, finish in selection.finishes.items() if codes.get(code) is not None
    }
    alike = selection.generation == generation
    carried = Selection(
        generation=generation,
        body_finish=selection.body_finish if alike else None,
        body_hex=selection.body_hex if alike else None,
        body_code=selection.body_code if alike else "",
        options=tuple(codes.values()),
        finishes={code: f for code, f in finishes.items() if _may_have(catalogue.options[code], f)},
        accent=selection.accent if selection.accent in catalogue.finishes else None,
        accent_wanted_hex=selection.accent_wanted_hex,
        accent_way=selection.accent_way,
        **{position: _axle(selection, position, target, catalogue, told) for position in POSITIONS},
    )
    return Carried(carried, tuple(dict.fromkeys(told)))


def _may_have(option: Option, finish: str) -> bool:
    return finish in (BODY, ACCENT) or finish in option.finish_choices


def _options(
    selection: Selection, target: Generation, catalogue: Catalogue, told: list[str]
) -> dict[str, str]:
    """Return by code the option that stands for each chosen one on the other vehicle."""
    found: dict[str, str] = {}
    for code in selection.options:
        option = catalogue.options.get(code)
        if option is None or option.kind == Option.Kind.FACT:
            continue
        here = _same_work(option, target, catalogue, taken=found.values())
        if here is None:
            told.append(say("carried_not", part=option.name))
            continue
        if here.code != code and here.name != option.name:
            told.append(say("carried_other", part=option.name, other=here.name))
        found[code] = here.code
    return found


def _same_work(
    option: Option, target: Generation, catalogue: Catalogue, *, taken: Iterable[str]
) -> Option | None:
    if selectors.is_offered(option, target):
        return option
    used = set(taken)
    alike = [
        other
        for other in selectors.options_for(catalogue, target)
        if other.family_id == option.family_id
        and other.kind == option.kind
        and other.recipe_id == option.recipe_id
        and other.code not in used
    ]
    named = next((other for other in alike if other.name == option.name), None)
    # Of a family that takes any, each is another thing: mudflaps that are not there are no tow-bar cover.
    return named or (alike[0] if alike and option.family.kind != Family.Kind.ANY else None)


def _axle(
    selection: Selection, position: str, target: Generation, catalogue: Catalogue, told: list[str]
) -> AxleSelection:
    chosen = selection.axle(position)
    axle = catalogue.axles.get((target.code, position))
    if axle is None or chosen == AxleSelection():
        return AxleSelection()
    wheel, tyre = _wheel(chosen, axle, catalogue, told)
    return AxleSelection(wheel=wheel, tyre=tyre, spacer=_spacer(chosen, wheel, tyre, axle, catalogue, told))


def _wheel(
    chosen: AxleSelection, axle: Axle, catalogue: Catalogue, told: list[str]
) -> tuple[str | None, str | None]:
    """Return the wheel and the tyre that goes with it best, or with the chosen tyre where that fits."""
    if chosen.wheel is None:
        return None, _tyre(chosen.tyre, None, axle, catalogue, told)
    wanted = catalogue.wheels.get(chosen.wheel)
    found = offers.wheel_offers(axle, None, catalogue)
    good = [code for code, offer in found.items() if offer.verdict in RANK]
    if wanted is None or not good:
        told.append(say("carried_not", part=str(wanted or chosen.wheel)))
        return None, None
    if chosen.wheel in good:
        code = chosen.wheel
    else:
        alike = [w for w in (catalogue.wheels[code] for code in good) if _is_alike(w, wanted)]
        if not alike:
            told.append(say("carried_not", part=str(wanted)))
            return None, None
        best = min(alike, key=lambda w: (RANK.index(found[w.code].verdict), _distance(w, wanted), w.code))
        told.append(say("carried_other", part=str(wanted), other=str(best)))
        code = best.code
    if (
        chosen.tyre
        and offers.tyre_offers(axle, code, None, catalogue).get(chosen.tyre, offers.NO_TYRE).verdict in RANK
    ):
        return code, chosen.tyre
    return code, found[code].tyre


def _is_alike(wheel: Wheel, wanted: Wheel) -> bool:
    return (wheel.design, wheel.finish_id) == (wanted.design, wanted.finish_id)


def _distance(wheel: Wheel, wanted: Wheel) -> tuple[float, float]:
    return abs(wheel.diameter_in - wanted.diameter_in), abs(wheel.width_in - wanted.width_in)


def _tyre(
    code: str | None, wheel: str | None, axle: Axle, catalogue: Catalogue, told: list[str]
) -> str | None:
    if code is None:
        return None
    if offers.tyre_offers(axle, wheel, None, catalogue).get(code, offers.NO_TYRE).verdict in RANK:
        return code
    told.append(say("carried_not", part=str(catalogue.tyres.get(code, code))))
    return None


def _spacer(
    chosen: AxleSelection,
    wheel: str | None,
    tyre: str | None,
    axle: Axle,
    catalogue: Catalogue,
    told: list[str],
) -> str | None:
    """Return the chosen spacer where it fits, or the nearest in thickness that does."""
    if chosen.spacer is None:
        return None
    wanted = catalogue.spacers.get(chosen.spacer)
    found = offers.spacer_offers(axle, wheel, tyre, catalogue)
    good = [code for code, offer in found.items() if offer.verdict in RANK]
    if chosen.spacer in good:
        return chosen.spacer
    if wanted is None or not good:
        told.append(say("carried_not", part=str(wanted or chosen.spacer)))
        return None
    best = min(
        (catalogue.spacers[code] for code in good),
        key=lambda s: (RANK.index(found[s.code].verdict), abs(s.thickness_mm - wanted.thickness_mm), s.code),
    )
    told.append(say("carried_other", part=str(wanted), other=str(best)))
    return best.code
