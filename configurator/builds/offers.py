"""What fits: every wheel on an axle with the best stocked tyre for it, judged in one sweep."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from configurator import fitment
from configurator.catalogue import selectors
from configurator.catalogue.models import Axle, Tyre, Wheel
from configurator.fitment.grid import filter_grid

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


@dataclass(frozen=True)
class Offer:
    """How a wheel would fit with its best tyre; ``check`` decides when it does not simply fit.

    ``tyre`` is the code of that tyre, ``None`` for the one that the vehicle came with.
    """

    verdict: str
    check: str | None
    tyre: str | None


NO_TYRE = Offer("no", "tyre_rim_width", None)
_cached: dict[tuple[str, str, str, str | None], dict[str, Offer]] = {}


@lru_cache(maxsize=4096)
def size_of(designation: str) -> tuple[float, float]:
    """Return (rim diameter in inches, overall diameter in mm) as the designation states them."""
    tyre = fitment.parse_tyre(designation)
    return tyre.rim_diameter_in, fitment.overall_diameter_mm(tyre)


def tyres_of_rim(axle: Axle, rim_in: float, catalogue: Catalogue) -> list[Tyre]:
    """Return the stocked tyres of a rim diameter, nearest to the original circumference first."""
    wanted_mm = size_of(axle.original_tyre)[1]
    fitting = selectors.tyres_for(catalogue, axle.generation, rim_in)
    return sorted(fitting, key=lambda t: (abs(size_of(t.designation)[1] - wanted_mm), t.code))


def wheel_offers(axle: Axle, spacer: str | None, catalogue: Catalogue) -> dict[str, Offer]:
    """Return the offer for each wheel that goes on the axle's hub, by wheel code.

    Depends on the catalogue, axle and spacer only, so it is kept until the catalogue changes.
    """
    key = (catalogue.digest, axle.generation.code, axle.position, spacer)
    if key not in _cached:
        if len(_cached) > 500:
            _cached.clear()
        _cached[key] = _judged(axle, spacer, catalogue)
    return _cached[key]


def _judged(axle: Axle, spacer: str | None, catalogue: Catalogue) -> dict[str, Offer]:
    by_rim: dict[float, list[Wheel]] = {}
    for wheel in selectors.wheels_for(catalogue, axle):
        by_rim.setdefault(wheel.diameter_in, []).append(wheel)
    found: dict[str, Offer] = {}
    for rim_in, wheels in by_rim.items():
        found |= _of_one_rim(axle, rim_in, wheels, spacer, catalogue)
    return found


def _of_one_rim(
    axle: Axle, rim_in: float, wheels: list[Wheel], spacer: str | None, catalogue: Catalogue
) -> dict[str, Offer]:
    stocked = tyres_of_rim(axle, rim_in, catalogue)
    codes: list[str | None] = [tyre.code for tyre in stocked]
    tyres = [selectors.tyre_data(tyre) for tyre in stocked]
    data = selectors.axle_data(axle)
    if data.original_tyre and data.original_tyre.rim_diameter_in == rim_in:
        codes, tyres = [None, *codes], [data.original_tyre, *tyres]
    if not tyres:
        return {wheel.code: NO_TYRE for wheel in wheels}
    row = catalogue.spacers.get(spacer) if spacer else None
    between = [selectors.spacer_data(row) if row else None]
    grid = filter_grid(data, [selectors.wheel_data(wheel) for wheel in wheels], tyres, between)
    best = np.argmin(grid.codes[:, :, 0], axis=1).tolist()
    return {
        wheel.code: Offer(grid.verdict(i, best[i], 0), grid.deciding(i, best[i], 0), codes[best[i]])
        for i, wheel in enumerate(wheels)
    }
