"""Every wheel with every tyre and spacer on one axle, by the same formulas on arrays."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from configurator.fitment.arithmetic import VERDICTS, verdict_code
from configurator.fitment.checks import CHECK_IDS, RULES
from configurator.fitment.designation import Tyre
from configurator.fitment.parts import Axle, Fastener, Spacer, Wheel
from configurator.fitment.quantities import (
    Quantities,
    axle_numbers,
    fastener_numbers,
    spacer_columns,
    tyre_columns,
    wheel_columns,
)

# A combination's key is verdict code * 32 + (31 - place of the check), so that the largest key of a
# combination is its worst verdict by the first check that gives it.
_PLACES = 32
# Combinations worked on at a time: temporaries stay in the processor's cache and memory stays flat.
_CHUNK = 1 << 17


@dataclass(frozen=True)
class GridResult:
    """Worst verdict and deciding check per combination; arrays are shaped (wheels, tyres, spacers)."""

    keys: NDArray[np.uint8]

    @cached_property
    def codes(self) -> NDArray[np.uint8]:
        """Verdict codes: 0 fits, 1 measure, 2 unknown, 3 no."""
        return self.keys // np.uint8(_PLACES)

    def verdict(self, wheel: int, tyre: int, spacer: int) -> str:
        """Return the verdict of one combination."""
        return VERDICTS[self.keys[wheel, tyre, spacer] // _PLACES]

    def deciding(self, wheel: int, tyre: int, spacer: int) -> str | None:
        """Return the id of the check that decides one combination, None when it fits."""
        key = int(self.keys[wheel, tyre, spacer])
        return CHECK_IDS[_PLACES - 1 - key % _PLACES] if key >= _PLACES else None

    def counts(self) -> dict[str, int]:
        """Return how many combinations have each verdict."""
        found = np.bincount(self.codes.ravel(), minlength=len(VERDICTS))
        return {verdict: int(count) for verdict, count in zip(VERDICTS, found, strict=True)}

    def reasons(self) -> dict[tuple[str, str], int]:
        """Return how many combinations have each (verdict, deciding check); those that fit are left out."""
        found = np.bincount(self.keys.ravel(), minlength=len(VERDICTS) * _PLACES)
        return {
            (VERDICTS[key // _PLACES], CHECK_IDS[_PLACES - 1 - key % _PLACES]): int(found[key])
            for key in np.flatnonzero(found)
            if key >= _PLACES
        }

    def best(self, most: int | None = None) -> list[tuple[int, int, int]]:
        """Return (wheel, tyre, spacer) places from best verdict to worst, in catalogue order within one."""
        order = np.argsort(self.codes.ravel(), kind="stable")[:most]
        places = np.unravel_index(order, self.keys.shape)
        return list(zip(*(axis.tolist() for axis in places), strict=True))


@dataclass(frozen=True)
class Catalogue:
    """Wheels, tyres and spacers turned into arrays once, for use with many axles."""

    wheels: SimpleNamespace
    tyres: tuple[Tyre, ...]
    spacers: SimpleNamespace
    shape: tuple[int, int, int]

    @classmethod
    def of(
        cls, wheels: Sequence[Wheel], tyres: Sequence[Tyre], spacers: Sequence[Spacer | None]
    ) -> "Catalogue":
        """Turn the parts into arrays; None among the spacers stands for no spacer."""
        shape = (len(wheels), len(tyres), len(spacers))
        return cls(wheel_columns(wheels), tuple(tyres), spacer_columns(spacers), shape)


def filter_grid(
    axle: Axle,
    wheels: Sequence[Wheel],
    tyres: Sequence[Tyre],
    spacers: Sequence[Spacer | None],
    fastener: Fastener | None = None,
) -> GridResult:
    """Judge all combinations as `check_fit` would; with no fastener given, with the one each would need."""
    return filter_catalogue(axle, Catalogue.of(wheels, tyres, spacers), fastener)


def filter_catalogue(axle: Axle, catalogue: Catalogue, fastener: Fastener | None = None) -> GridResult:
    """Judge all combinations of a catalogue that is already in arrays."""
    wheels, tyres, spacers = catalogue.shape
    keys = np.zeros((tyres, spacers, wheels), dtype=np.uint8)
    a, f = axle_numbers(axle), fastener_numbers(axle, fastener)
    t = tyre_columns(catalogue.tyres, axle)
    step = max(1, _CHUNK // max(1, tyres * spacers))
    for start in range(0, wheels, step):
        part = slice(start, start + step)
        q = Quantities(a, _some(catalogue.wheels, part), t, catalogue.spacers, f)
        _worst_keys(q, keys[:, :, part])
    return GridResult(np.moveaxis(keys, 2, 0))


def _some(wheels: SimpleNamespace, part: slice) -> SimpleNamespace:
    chosen: dict[str, Any] = {
        name: v if isinstance(v, float) else v[..., part]
        for name, v in vars(wheels).items()
        if name != "profile"
    }
    chosen["profile"] = tuple((r[..., part], y[..., part]) for r, y in wheels.profile)
    return SimpleNamespace(**chosen)


def _worst_keys(q: Quantities, keys: NDArray[np.uint8]) -> None:
    """Raise each combination's key to that of its worst check."""
    small: dict[tuple[int, ...], Any] = {}
    for place, rule in enumerate(RULES):
        outcome = None if rule.note else rule.formula(q)
        if outcome is None:
            continue
        found = _key(verdict_code(outcome.margin, outcome.tolerance), place)
        # Checks that vary on the same axes are merged first, on their own small grid.
        shape = np.shape(found)
        small[shape] = np.maximum(small[shape], found) if shape in small else found
    for found in small.values():
        np.maximum(keys, found, out=keys)


def _key(code: Any, place: int) -> Any:
    scaled = np.asarray(code, dtype=np.uint8) * np.uint8(_PLACES)
    scaled += np.uint8(_PLACES - 1 - place)
    return scaled


def worst_of(*grids: GridResult) -> GridResult:
    """Return the worse of several axles' results, combination by combination."""
    keys = grids[0].keys
    for other in grids[1:]:
        keys = np.maximum(keys, other.keys)
    return GridResult(keys)
