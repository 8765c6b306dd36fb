"""Dimensions of tyres by UN R30 6.1, and what its annexes' indices stand for."""

import math
from itertools import pairwise
from typing import Any

from .designation import Tyre
from .tables import (
    RimCoefficients,
    load_kg,
    rim_coefficients,
    rim_diameter_mm,
    speed_kmh,
    speed_load_factors,
)

INCH_MM = 25.4
NAN = float("nan")
SECTION_K = 0.4
ZR_ALONE_KMH = 240.0  # ZR without a speed symbol: above 240 km/h (UN R30 2.29)


def half_up(value: float) -> int:
    """Round to a whole number, halves up, as the regulation's tables do (never to even)."""
    return math.floor(value + 0.5)


def half_inch(mm: float) -> float:
    """Round a width in mm to the nearest half inch, halves up."""
    return half_up(2 * mm / INCH_MM) / 2


def coefficients(aspect_pct: float) -> RimCoefficients:
    """Return the rim coefficients of an aspect ratio's band."""
    for lowest, found in rim_coefficients():
        if aspect_pct >= lowest:
            return found
    return rim_coefficients()[-1][1]


def section_height_mm(tyre: Tyre) -> int:
    """H = 0.01 S1 Ra, whole mm, halves up (UN R30 6.1.2)."""
    return half_up(tyre.width_mm * tyre.aspect_pct / 100)


def overall_diameter_mm(tyre: Tyre) -> float:
    """D = d + 2H (UN R30 6.1.2), or the measured one."""
    if tyre.overall_diameter_mm is not None:
        return tyre.overall_diameter_mm
    return rim_diameter_mm()[int(tyre.rim_diameter_in)] + 2 * section_height_mm(tyre)


def measuring_rim_in(tyre: Tyre) -> float:
    """Width of the measuring rim, to half an inch."""
    return half_inch(coefficients(tyre.aspect_pct).measuring * tyre.width_mm)


def section_base_mm(tyre: Tyre) -> float:
    """S1 - K A1: what `section_width_mm` adds to K times the rim width."""
    return tyre.width_mm * (1 - SECTION_K * coefficients(tyre.aspect_pct).theoretical)


def on_rim_mm(base_mm: Any, rim_width_in: Any) -> Any:
    """S = S1 + K (A - A1) from the base and the rim's width, unrounded; floats or arrays alike."""
    return base_mm + SECTION_K * INCH_MM * rim_width_in


def section_width_mm(tyre: Tyre, rim_width_in: float) -> float:
    """Section width on a rim (UN R30 6.1.1), or the measured one."""
    if tyre.section_width_mm is not None:
        return tyre.section_width_mm
    return float(on_rim_mm(section_base_mm(tyre), rim_width_in))


def design_section_width_mm(tyre: Tyre) -> int:
    """S on the measuring rim, whole mm (UN R30 6.1.1)."""
    return half_up(on_rim_mm(section_base_mm(tyre), measuring_rim_in(tyre)))


def permitted_rim_in(tyre: Tyre) -> tuple[float, float]:
    """Narrowest and widest permitted rim in inches, NaN when not known."""
    band = coefficients(tyre.aspect_pct)
    low = half_inch(band.narrowest * tyre.width_mm) if band.narrowest else NAN
    high = half_inch(band.widest * tyre.width_mm) if band.widest else NAN
    return (
        low if tyre.rim_min_in is None else tyre.rim_min_in,
        high if tyre.rim_max_in is None else tyre.rim_max_in,
    )


def load_capacity_kg(tyre: Tyre, *, twin: bool = False) -> float:
    """Load in kg of one tyre by its index (single, or for twin fitment), NaN when not stated."""
    index = tyre.dual_load_index if twin else tyre.load_index
    return NAN if index is None else load_kg()[index]


def top_speed_kmh(tyre: Tyre) -> float:
    """Speed in km/h of the speed symbol, NaN when neither a symbol nor ZR is stated."""
    if tyre.speed_symbol is None:
        return ZR_ALONE_KMH if tyre.zr else NAN
    return speed_kmh()[tyre.speed_symbol]


def speed_load_factor(tyre: Tyre, max_speed_kmh: float) -> float:
    """Share of the indexed load that may be carried at the vehicle's top speed (UN R30 2.31)."""
    points = speed_load_factors().get(tyre.speed_symbol or "", ())
    if not points or math.isnan(max_speed_kmh) or max_speed_kmh <= points[0][0]:
        return 1.0
    for (slow, more), (fast, less) in pairwise(points):
        if max_speed_kmh <= fast:
            return more + (less - more) * (max_speed_kmh - slow) / (fast - slow)
    return points[-1][1]
