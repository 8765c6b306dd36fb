"""What fits first: every wheel on an axle, with the best stocked tyre, judged in one sweep."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from configurator.catalogue import selectors
from configurator.catalogue.models import Axle, Wheel
from configurator.fitment.grid import filter_grid

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue


@dataclass(frozen=True)
class Offer:
    """How a wheel would fit with its best tyre; ``check`` decides when it does not simply fit."""

    verdict: str
    check: str | None


NO_TYRE = Offer("no", "tyre_rim_width")
_cached: dict[tuple[str, str, str, str | None], dict[str, Offer]] = {}


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
    tyres = [selectors.tyre_data(t) for t in selectors.tyres_for(catalogue, axle.generation, rim_in)]
    data = selectors.axle_data(axle)
    if data.original_tyre and data.original_tyre.rim_diameter_in == rim_in:
        tyres.append(data.original_tyre)
    if not tyres:
        return {wheel.code: NO_TYRE for wheel in wheels}
    row = catalogue.spacers.get(spacer) if spacer else None
    grid = filter_grid(
        data,
        [selectors.wheel_data(wheel) for wheel in wheels],
        tyres,
        [selectors.spacer_data(row) if row else None],
    )
    best = np.argmin(grid.codes[:, :, 0], axis=1)
    return {
        wheel.code: Offer(grid.verdict(i, int(best[i]), 0), grid.deciding(i, int(best[i]), 0))
        for i, wheel in enumerate(wheels)
    }
