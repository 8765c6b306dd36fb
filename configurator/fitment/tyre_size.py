"""Dimensions of tyres by UN R30 6.1, and what its annexes' indices stand for."""

import math
from itertools import pairwise
from typing import Any

from .defaults import INCH_MM, MEASURED_TYRE_TOLERANCE_MM
from .designation import Tyre
from .tables import (
    FullProfile,
    RimCoefficients,
    full_profiles,
    growth,
    load_kg,
    rim_coefficients,
    rim_diameter_mm,
    speed_kmh,
    speed_load_factors,
)

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


def _printed(tyre: Tyre) -> FullProfile | None:
    """Return the table's row of a tyre without aspect ratio, if there is one."""
    size = f"{tyre.width_mm:g}{tyre.construction}{tyre.rim_diameter_in:g}{'C' if tyre.commercial else ''}"
    return full_profiles().get(size)


def overall_diameter_mm(tyre: Tyre) -> float:
    """D = d + 2H (UN R30 6.1.2), or the measured one; NaN for a full-profile size in no table."""
    if tyre.overall_diameter_mm is not None:
        return tyre.overall_diameter_mm
    if tyre.full_profile:
        row = _printed(tyre)
        return row.overall_diameter_mm if row else NAN
    return _by_formula_mm(tyre)


def _by_formula_mm(tyre: Tyre) -> float:
    return rim_diameter_mm()[int(tyre.rim_diameter_in)] + 2 * section_height_mm(tyre)


def drawn_diameter_mm(tyre: Tyre) -> float:
    """Overall diameter for a picture: near enough where it is not known."""
    found = overall_diameter_mm(tyre)
    return found if found == found else _by_formula_mm(tyre)


def drawn_width_mm(tyre: Tyre, rim_width_in: float) -> float:
    """Section width for a picture: near enough where it is not known."""
    found = section_width_mm(tyre, rim_width_in)
    return found if found == found else tyre.width_mm


def measuring_rim_in(tyre: Tyre) -> float:
    """Width of the measuring rim, to half an inch; NaN where it is not known."""
    if tyre.full_profile:
        row = _printed(tyre)
        return row.measuring_rim_in if row else NAN
    return half_inch(coefficients(tyre.aspect_pct).measuring * tyre.width_mm)


def section_base_mm(tyre: Tyre) -> float:
    """S1 - K A1: what `section_width_mm` adds to K times the rim width; NaN where it is not known."""
    if tyre.full_profile:
        row = _printed(tyre)
        return NAN if row is None else row.section_width_mm - SECTION_K * INCH_MM * row.measuring_rim_in
    return tyre.width_mm * (1 - SECTION_K * coefficients(tyre.aspect_pct).theoretical)


def on_rim_mm(base_mm: Any, rim_width_in: Any) -> Any:
    """S = S1 + K (A - A1) from the base and the rim's width, unrounded; floats or arrays alike."""
    return base_mm + SECTION_K * INCH_MM * rim_width_in


def section_width_mm(tyre: Tyre, rim_width_in: float) -> float:
    """Section width on a rim (UN R30 6.1.1), or the measured one."""
    if tyre.section_width_mm is not None:
        return tyre.section_width_mm
    return float(on_rim_mm(section_base_mm(tyre), rim_width_in))


def lawful_growth(tyre: Tyre) -> tuple[float, float]:
    """Return how much wider (share of S) and higher (mm of diameter) than designed a tyre may be made.

    UN R30, R54 and R75, 6.1.4 and 6.1.5; nothing for what was measured.
    """
    kind = "car_bias" if tyre.kind == "car" and tyre.construction != "R" else tyre.kind
    wider, higher = growth()[kind]
    diameter = overall_diameter_mm(tyre) - rim_diameter_mm()[int(tyre.rim_diameter_in)]
    return (
        0.0 if tyre.section_width_mm is not None else wider,
        0.0 if tyre.overall_diameter_mm is not None else higher * diameter,
    )


def tolerances(tyre: Tyre) -> tuple[float, float, float]:
    """Return a tyre's tolerances: of its width as a share and in mm, and of its diameter in mm.

    What is stated; else that of measuring; else what it may lawfully grow.
    """
    if tyre.tolerance_mm is not None:
        return 0.0, tyre.tolerance_mm, tyre.tolerance_mm
    share, diameter_mm = lawful_growth(tyre)
    width_mm = 0.0 if tyre.section_width_mm is None else MEASURED_TYRE_TOLERANCE_MM
    if tyre.overall_diameter_mm is not None:
        diameter_mm = MEASURED_TYRE_TOLERANCE_MM
    return share, width_mm, diameter_mm


def permitted_rim_in(tyre: Tyre) -> tuple[float, float]:
    """Narrowest and widest permitted rim in inches, NaN when not known."""
    band = coefficients(tyre.aspect_pct)
    known = not tyre.full_profile
    low = half_inch(band.narrowest * tyre.width_mm) if known else NAN
    high = half_inch(band.widest * tyre.width_mm) if known else NAN
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
    """Share of the indexed load that may be carried at the vehicle's top speed (UN R30 2.31, R75 2.36.3).

    NaN for V, W and Y when that speed is not known.
    """
    table, symbol = speed_load_factors(), tyre.speed_symbol or ""
    points = table.get((tyre.kind, symbol)) or table.get(("car", symbol), ())
    if not points:
        return 1.0
    if math.isnan(max_speed_kmh):
        return NAN
    if max_speed_kmh <= points[0][0]:
        return 1.0
    for (slow, more), (fast, less) in pairwise(points):
        if max_speed_kmh <= fast:
            return more + (less - more) * (max_speed_kmh - slow) / (fast - slow)
    return points[-1][1]
