"""What goes with what was chosen: tyres for a wheel.

Nobody should have to know that 18-inch wheels cannot keep 16-inch tyres: a tyre that cannot go on the
chosen wheel is replaced by the best stocked one, among equals the one that turns the speedometer least,
and the page says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from configurator.catalogue.models import Axle, Tyre, Wheel

from .offers import rim_diameter_in, size_of, tyres_of_rim, wheel_offers
from .selection import POSITIONS, AxleSelection, Selection
from .sentences import say

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


def tyres_for(axle: Axle, wheel: Wheel | None, catalogue: Catalogue) -> list[Tyre]:
    """Return the stocked tyres of the rim's diameter, nearest to the original circumference first."""
    return tyres_of_rim(axle, rim_diameter_in(axle, wheel), catalogue)


def keeps_tyre(axle: Axle, wheel: Wheel | None) -> bool:
    """Whether the tyres that the vehicle came with go on the wheel."""
    return size_of(axle.original_tyre)[0] == rim_diameter_in(axle, wheel)


def follow_wheels(selection: Selection, catalogue: Catalogue) -> tuple[Selection, list[str]]:
    """Return the selection with tyres of the wheels' diameter, and what was changed, in words."""
    told: list[str] = []
    changed = {position: _followed(selection, position, catalogue, told) for position in POSITIONS}
    if not told:
        return selection, []
    return selection.model_copy(update=changed), list(dict.fromkeys(told))


def _followed(selection: Selection, position: str, catalogue: Catalogue, told: list[str]) -> AxleSelection:
    chosen = selection.axle(position)
    axle = catalogue.axles.get((selection.generation, position))
    if axle is None or (chosen.wheel and chosen.wheel not in catalogue.wheels):
        return chosen
    wheel = catalogue.wheels[chosen.wheel] if chosen.wheel else None
    if _goes(chosen, axle, wheel, catalogue):
        return chosen
    offer = wheel_offers(axle, chosen.spacer, catalogue).get(wheel.code) if wheel else None
    tyre = offer.tyre if offer else None
    if tyre == chosen.tyre:
        return chosen
    told.append(say("tyres_now", tyre=str(catalogue.tyres[tyre])) if tyre else say("tyres_back"))
    return chosen.model_copy(update={"tyre": tyre})


def _goes(chosen: AxleSelection, axle: Axle, wheel: Wheel | None, catalogue: Catalogue) -> bool:
    """Whether the tyre chosen may stay: it suits the rim, or is unknown and a problem of its own."""
    if chosen.tyre is None:
        return keeps_tyre(axle, wheel)
    tyre = catalogue.tyres.get(chosen.tyre)
    return tyre is None or size_of(tyre.designation)[0] == rim_diameter_in(axle, wheel)
