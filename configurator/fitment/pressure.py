"""The least cold pressure for the load on a tyre and the vehicle's speed: a note, the maker's table rules."""

import math
from typing import Any

from .arithmetic import EPSILON
from .designation import Tyre
from .formulas_rating import tyre_capacity_kg
from .quantities import Quantities

# Pressures for the load index's load, bar: ETRTO practice, from memory; others are marked on the tyre.
_STANDARD_BAR, _EXTRA_LOAD_BAR = 2.5, 2.9
_PRESSURE_EXPONENT = 1.25  # load goes with pressure to the power of 0.8, ETRTO practice
# What fast driving adds: from the first speed to the second, bar in all (a chassis handbook; Y from memory).
_SPEED_SUPPLEMENT = {"W": (190.0, 240.0, 0.5), "Y": (220.0, 270.0, 0.5)}
_USUAL_SUPPLEMENT = (160.0, 210.0, 0.3)


def pressure_share(load_share: Any) -> Any:
    """Return the share of the reference pressure that carries a share of the reference load."""
    return load_share**_PRESSURE_EXPONENT


def reference_pressure_bar(tyre: Tyre) -> float:
    """Pressure at which the load index's load is carried, NaN where only the tyre's own marking says."""
    if tyre.reference_pressure_bar is not None:
        return tyre.reference_pressure_bar
    if tyre.kind != "car" or tyre.high_load:
        return math.nan
    return _EXTRA_LOAD_BAR if tyre.extra_load else _STANDARD_BAR


def speed_supplement_bar(tyre: Tyre, max_speed_kmh: float) -> float:
    """What the vehicle's top speed adds to the pressure, bar."""
    slow, fast, most = _SPEED_SUPPLEMENT.get(tyre.speed_symbol or "", _USUAL_SUPPLEMENT)
    return most * min(max((max_speed_kmh - slow) / (fast - slow), 0.0), 1.0)


def minimum_pressure_bar(tyre: Tyre, q: Quantities) -> float:
    """Return the least cold pressure for the axle's load and the vehicle's top speed, bar.

    Rounded up to the next 0.1; NaN where load, speed or the tyre's reference pressure is not known. ETRTO
    practice, from memory.
    """
    top = q.a.max_speed_kmh
    least = reference_pressure_bar(tyre) * pressure_share(q.a.axle_load_kg / tyre_capacity_kg(q))
    if least != least or top != top:
        return math.nan
    return math.ceil(10 * (least + speed_supplement_bar(tyre, top)) - EPSILON) / 10
