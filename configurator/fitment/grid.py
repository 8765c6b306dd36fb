"""Every wheel with every tyre and spacer on one axle, by the same formulas on arrays."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .arithmetic import NO, VERDICTS, verdict_code
from .checks import CHECK_IDS, RULES
from .columns import spacer_columns, tyre_columns, wheel_columns
from .designation import Tyre
from .numbers import axle_numbers, fastener_numbers
from .parts import Axle, Fastener, Spacer, Wheel
from .quantities import Quantities

# A combination's key is verdict code * 32 + (31 - place of the check), so that the largest key of a
# combination is its worst verdict by the first check that gives it.
_PLACES = 32
# Combinations worked on at a time: temporaries stay in the processor's cache and memory stays flat. Of the
# powers of two from 13 to 20 this one is the quickest by a fifth.
_CHUNK = 1 << 14
# The checks of hub and fasteners come first, then the brakes; from there on the tyre has a say.
_BRAKES = CHECK_IDS.index("brake_clearance")
_TYRES = range(_BRAKES + 1, len(RULES))
# Where a tyre stands varies with wheel, tyre and spacer at once; the other checks are on smaller grids.
_PLACED = tuple(place for place in _TYRES if "tyre.section_width_mm" in RULES[place].inputs)
_OTHERS = tuple(place for place in _TYRES if place not in _PLACED)


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
    t = tyre_columns(catalogue.tyres, axle)
    q = Quantities(
        axle_numbers(axle), catalogue.wheels, t, catalogue.spacers, fastener_numbers(axle, fastener)
    )
    bare, alive = _without_tyre(q, spacers, wheels)
    keys = np.empty((tyres, spacers, wheels), dtype=np.uint8)
    keys[...] = bare
    if alive.size:
        found = np.empty((tyres, spacers, alive.size), dtype=np.uint8)
        found[...] = reduce(np.maximum, _merged(_keys_of(_of_wheels(q, alive), _OTHERS)), bare[..., alive])
        _place(found, q, alive)
        keys[..., alive] = found
    return GridResult(np.moveaxis(keys, 2, 0))


def _place(keys: NDArray[np.uint8], q: Quantities, wheels: NDArray[np.int64]) -> None:
    """Join the checks of where the tyre stands to the keys of some wheels, a chunk at a time."""
    tyres, spacers, count = keys.shape
    step = max(1, _CHUNK // max(1, tyres * spacers))
    for start in range(0, count, step):
        part = keys[..., start : start + step]
        some = _of_wheels(q, wheels[start : start + step])
        np.maximum(part, reduce(np.maximum, _merged(_keys_of(some, _PLACED))), out=part)


def _without_tyre(q: Quantities, spacers: int, wheels: int) -> tuple[NDArray[np.uint8], NDArray[np.int64]]:
    """Return the keys of the checks before any tyre's, and the wheels that are not yet refused.

    A wheel refused with every spacer is decided: later checks have smaller keys and are not worked out for
    it. In a catalogue for many makes that is most wheels.
    """
    keys = np.zeros((1, spacers, wheels), dtype=np.uint8)
    alive = np.arange(wheels)
    for places in (range(_BRAKES), (_BRAKES,)):
        if not alive.size or not spacers:
            break
        found = reduce(np.maximum, _keys_of(_of_wheels(q, alive), places), keys[..., alive])
        keys[..., alive] = found
        alive = alive[found.min(axis=(0, 1)) < NO * _PLACES]
    return keys, alive


def _of_wheels(q: Quantities, places: NDArray[np.int64]) -> Quantities:
    return Quantities(q.a, _some(q.w, places), q.t, q.s, q.f)


def _some(wheels: SimpleNamespace, part: Any) -> SimpleNamespace:
    """Return the numbers of the wheels at some places."""
    chosen: dict[str, Any] = {
        name: v if isinstance(v, float) else v[..., part]
        for name, v in vars(wheels).items()
        if name != "profile"
    }
    chosen["profile"] = tuple((r[..., part], y[..., part]) for r, y in wheels.profile)
    return SimpleNamespace(**chosen)


def _keys_of(q: Quantities, places: Iterable[int]) -> list[Any]:
    """Return the keys of the checks at some places, each on the smallest grid it varies on."""
    keys = []
    for place in places:
        outcome = None if RULES[place].note else RULES[place].formula(q)
        if outcome is not None:
            keys.append(_key(verdict_code(outcome.margin, outcome.tolerance), place))
    return keys


def _merged(keys: list[Any]) -> list[Any]:
    """Take the worst of the keys that vary on the same axes, smallest grids first."""
    by_shape: dict[tuple[int, ...], Any] = {}
    for key in keys:
        by_shape[key.shape] = np.maximum(by_shape[key.shape], key) if key.shape in by_shape else key
    return sorted(by_shape.values(), key=np.size)


def _key(code: Any, place: int) -> Any:
    scaled = np.asarray(code, dtype=np.uint8) * np.uint8(_PLACES)
    scaled += np.uint8(_PLACES - 1 - place)
    return np.asarray(scaled)
