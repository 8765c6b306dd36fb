"""Parts of a whole catalogue as arrays of the numbers that one part has (`numbers`).

Arrays are shaped (tyres, spacers, wheels) with 1 for the axes a part does not vary on, so that NumPy's
broadcasting computes each formula on the smallest grid it depends on; wheels come last because the
longest axis is the quickest to run along.
"""

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np

from .arithmetic import NAN
from .designation import Tyre
from .numbers import SPACER, TYRE, WHEEL, Readers, spacer_numbers, with_load
from .parts import Axle, Spacer, Wheel
from .profile import Points, inboard_first


def _many(parts: Sequence[Any], readers: Readers, shape: tuple[int, ...]) -> SimpleNamespace:
    return SimpleNamespace(
        **{name: _column([read(part) for part in parts], shape) for name, read in readers.items()}
    )


def _column(values: list[float], shape: tuple[int, ...]) -> Any:
    """Return an array, or one float where all are the same: then no grid need vary on that axis for it."""
    if values and (len(set(values)) == 1 or all(value != value for value in values)):
        return values[0]
    return np.array(values, dtype=float).reshape(shape)


def wheel_columns(wheels: Sequence[Wheel]) -> SimpleNamespace:
    """Return the numbers of many wheels, shaped (1, 1, wheels)."""
    found = _many(wheels, WHEEL, (1, 1, -1))
    found.profile = _profile_columns(wheels)
    return found


def _profile_columns(wheels: Sequence[Wheel]) -> Points:
    """Pad the profiles to one length by repeating the last point, which moves no distance."""
    longest = max((len(wheel.inside_profile_mm or ()) for wheel in wheels), default=0)
    if not longest:
        return ()
    table = np.full((len(wheels), longest, 2), NAN)
    for row, wheel in zip(table, wheels, strict=True):
        if wheel.inside_profile_mm:
            points = inboard_first(wheel.inside_profile_mm)
            row[: len(points)] = points
            row[len(points) :] = points[-1]
    return tuple(
        (table[:, i, 0].reshape(1, 1, -1).copy(), table[:, i, 1].reshape(1, 1, -1).copy())
        for i in range(longest)
    )


def tyre_columns(tyres: Sequence[Tyre], axle: Axle) -> SimpleNamespace:
    """Return the numbers of many tyres, shaped (tyres, 1, 1)."""
    pack = lambda column: _column(column, (-1, 1, 1))  # noqa: E731
    return with_load(_many(tyres, TYRE, (-1, 1, 1)), tyres, axle, pack)


def spacer_columns(spacers: Sequence[Spacer | None]) -> SimpleNamespace:
    """Return the numbers of many spacers, shaped (1, spacers, 1); None among them is "no spacer"."""
    rows = [vars(spacer_numbers(spacer)) for spacer in spacers]
    return SimpleNamespace(**{name: _column([row[name] for row in rows], (1, -1, 1)) for name in SPACER})
