"""What fits: every wheel, tyre and spacer that could go on an axle, judged in one sweep.

A wheel is judged with the stocked tyre that suits it best; tyres and spacers with the wheel that is chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from configurator import fitment
from configurator.catalogue import fitting, selectors
from configurator.catalogue.models import Axle, Spacer, Tyre, Wheel
from configurator.fitment.grid import filter_grid

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

MOST_KEPT = 500


@dataclass(frozen=True)
class Offer:
    """How a part would fit; ``check`` decides when it does not simply fit.

    ``tyre`` is the code of the tyre that it was judged with, ``None`` for the one that the vehicle came with.
    """

    verdict: str
    check: str | None
    tyre: str | None


NO_TYRE = Offer("no", "tyre_rim_width", None)
Offers = dict[str, Offer]


@lru_cache(maxsize=4096)
def size_of(designation: str) -> tuple[float, float]:
    """Return (rim diameter in inches, overall diameter in mm) as the designation states them."""
    tyre = fitment.parse_tyre(designation)
    return tyre.rim_diameter_in, fitment.drawn_diameter_mm(tyre)


def tyres_of_rim(axle: Axle, rim_in: float, catalogue: Catalogue) -> list[Tyre]:
    """Return the stocked tyres of a rim diameter, nearest to the original circumference first."""
    wanted_mm = size_of(axle.original_tyre)[1]
    fitting_ones = selectors.tyres_for(catalogue, axle.generation, rim_in)
    return sorted(fitting_ones, key=lambda t: (abs(size_of(t.designation)[1] - wanted_mm), t.code))


def rim_diameter_in(axle: Axle, wheel: Wheel | None) -> float:
    """Return the rim diameter that the axle has with the wheel chosen, or with what it came with."""
    return wheel.diameter_in if wheel else axle.original_wheel_diameter_in


def _kept(axle: Axle, catalogue: Catalogue, *rest: str | None, make: Callable[[], Offers]) -> Offers:
    """Return offers made before from this catalogue for the axle and ``rest``, or make and keep them."""
    key = (axle.generation.code, axle.position, *rest)
    return catalogue.once("offers", key, make, most=MOST_KEPT)


def wheel_offers(axle: Axle, spacer: str | None, catalogue: Catalogue) -> Offers:
    """Return the offer for each wheel that goes on the axle's hub, by wheel code.

    Depends on the catalogue, axle and spacer only, so it is kept until the catalogue changes.
    """
    return _kept(axle, catalogue, "wheel", spacer, make=lambda: _judged(axle, spacer, catalogue))


def tyre_offers(axle: Axle, wheel: str | None, spacer: str | None, catalogue: Catalogue) -> Offers:
    """Return the offer for each stocked tyre of the rim's diameter, nearest to the original first."""

    def make() -> Offers:
        rim = catalogue.wheels.get(wheel) if wheel else None
        tyres = tyres_of_rim(axle, rim_diameter_in(axle, rim), catalogue)
        between = catalogue.spacers.get(spacer) if spacer else None
        data = [fitting.tyre_data(tyre) for tyre in tyres]
        grid = _grid(axle, rim, data, [fitting.spacer_data(between) if between else None])
        return {
            tyre.code: Offer(grid.verdict(0, n, 0), grid.deciding(0, n, 0), tyre.code)
            for n, tyre in enumerate(tyres)
        }

    return _kept(axle, catalogue, "tyre", wheel, spacer, make=make)


def spacer_offers(axle: Axle, wheel: str | None, tyre: str | None, catalogue: Catalogue) -> Offers:
    """Return the offer for each stocked spacer of the axle, thinnest first."""

    def make() -> Offers:
        rim = catalogue.wheels.get(wheel) if wheel else None
        rubber = catalogue.tyres.get(tyre) if tyre else None
        on = fitting.tyre_data(rubber) if rubber else fitting.original_tyre_data(axle)
        spacers = selectors.spacers_for(catalogue, axle)
        grid = _grid(axle, rim, [on], [fitting.spacer_data(spacer) for spacer in spacers])
        return {
            spacer.code: Offer(grid.verdict(0, 0, n), grid.deciding(0, 0, n), tyre)
            for n, spacer in enumerate(spacers)
        }

    return _kept(axle, catalogue, "spacer", wheel, tyre, make=make)


def _grid(
    axle: Axle, wheel: Wheel | None, tyres: Sequence[fitment.Tyre], spacers: Sequence[fitment.Spacer | None]
) -> Any:
    on = fitting.wheel_data(wheel) if wheel else fitting.original_wheel_data(axle)
    return filter_grid(fitting.axle_data(axle), [on], tyres, spacers)


def _judged(axle: Axle, spacer: str | None, catalogue: Catalogue) -> Offers:
    by_rim: dict[float, list[Wheel]] = {}
    for wheel in selectors.wheels_for(catalogue, axle):
        by_rim.setdefault(wheel.diameter_in, []).append(wheel)
    found: Offers = {}
    row: Spacer | None = catalogue.spacers.get(spacer) if spacer else None
    for rim_in, wheels in by_rim.items():
        found |= _of_one_rim(axle, rim_in, wheels, row, catalogue)
    return found


def _of_one_rim(
    axle: Axle, rim_in: float, wheels: list[Wheel], spacer: Spacer | None, catalogue: Catalogue
) -> Offers:
    stocked = tyres_of_rim(axle, rim_in, catalogue)
    codes: list[str | None] = [tyre.code for tyre in stocked]
    tyres = [fitting.tyre_data(tyre) for tyre in stocked]
    data = fitting.axle_data(axle)
    if data.original_tyre and data.original_tyre.rim_diameter_in == rim_in:
        codes, tyres = [None, *codes], [data.original_tyre, *tyres]
    if not tyres:
        return {wheel.code: NO_TYRE for wheel in wheels}
    between = [fitting.spacer_data(spacer) if spacer else None]
    grid = filter_grid(data, [fitting.wheel_data(wheel) for wheel in wheels], tyres, between)
    best = np.argmin(grid.codes[:, :, 0], axis=1).tolist()
    return {
        wheel.code: Offer(grid.verdict(i, best[i], 0), grid.deciding(i, best[i], 0), codes[best[i]])
        for i, wheel in enumerate(wheels)
    }
