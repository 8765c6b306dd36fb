"""What goes with what was chosen: tyres for a wheel, nearest circumference first.

Nobody should have to know that 18-inch wheels cannot keep 16-inch tyres: a tyre that cannot go on the
chosen wheel is replaced by the stocked one that turns the speedometer least, and the page says so.
"""

from __future__ import annotations

from functools import lru_cache

from configurator import fitment
from configurator.catalogue import selectors
from configurator.catalogue.models import Axle, Tyre, Wheel
from configurator.catalogue.snapshot import Catalogue

from .selection import POSITIONS, AxleSelection, Selection

MM_PER_IN = 25.4
MOST = 12  # tyres tried for one wheel, nearest circumference first


@lru_cache(maxsize=4096)
def size_of(designation: str) -> tuple[float, float]:
    """Return (rim diameter in inches, overall diameter in mm) as the designation states them."""
    tyre = fitment.parse_tyre(designation)
    diameter_mm = tyre.rim_diameter_in * MM_PER_IN + 2 * tyre.width_mm * tyre.aspect_pct / 100
    return tyre.rim_diameter_in, diameter_mm


def rim_diameter_in(axle: Axle, wheel: Wheel | None) -> float:
    """Return the rim diameter that the axle has with the wheel chosen, or with what it came with."""
    return wheel.diameter_in if wheel else axle.original_wheel_diameter_in


def tyres_for(axle: Axle, wheel: Wheel | None, catalogue: Catalogue) -> list[Tyre]:
    """Return the stocked tyres of the rim's diameter, nearest to the original circumference first."""
    rim_in = rim_diameter_in(axle, wheel)
    wanted_mm = size_of(axle.original_tyre)[1]
    fitting = selectors.tyres_for(catalogue, axle.generation, rim_in)
    return sorted(fitting, key=lambda t: (abs(size_of(t.designation)[1] - wanted_mm), t.code))


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
    best = None if keeps_tyre(axle, wheel) else best_tyre(chosen, axle, catalogue)
    tyre = best.code if best else None
    if tyre == chosen.tyre:
        return chosen
    told.append(f"Tyres now: {best.item.name}." if best else "Back to the tyres it came with.")
    return chosen.model_copy(update={"tyre": tyre})


def best_tyre(chosen: AxleSelection, axle: Axle, catalogue: Catalogue) -> Tyre | None:
    """Return the tyre for the wheel and spacer that fits best, among equals the nearest circumference."""
    wheel = catalogue.wheels[chosen.wheel] if chosen.wheel else None
    spacer = catalogue.spacers.get(chosen.spacer) if chosen.spacer else None
    data = selectors.axle_data(axle)
    on = selectors.wheel_data(wheel) if wheel else selectors.original_wheel_data(axle)
    between = selectors.spacer_data(spacer) if spacer else None
    rank = {"fits": 0, "measure": 1, "unknown": 1}
    listed = tyres_for(axle, wheel, catalogue)[:MOST]
    verdicts = [
        fitment.check_fit(data, on, selectors.tyre_data(tyre), between, None).verdict for tyre in listed
    ]
    order = sorted(range(len(listed)), key=lambda i: (rank.get(verdicts[i], 2), i))
    return listed[order[0]] if order else None


def _goes(chosen: AxleSelection, axle: Axle, wheel: Wheel | None, catalogue: Catalogue) -> bool:
    """Whether the tyre chosen may stay: it suits the rim, or is unknown and a problem of its own."""
    if chosen.tyre is None:
        return keeps_tyre(axle, wheel)
    tyre = catalogue.tyres.get(chosen.tyre)
    return tyre is None or size_of(tyre.designation)[0] == rim_diameter_in(axle, wheel)
