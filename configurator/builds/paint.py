"""Litres of paint from area and film thickness.

The spreading rate is that of ISO 23811 and the coating handbooks: one litre of paint with volume
solids ``VS`` per cent covers ``10 * VS / film_um`` square metres when nothing is lost. The gun loses
some, which the transfer efficiency says.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

MIXING_STEP_L = Decimal("0.05")


def spreading_rate_m2_per_l(volume_solids_pct: float, dry_film_um: float) -> float:
    """Return the square metres that one litre covers at this dry film, nothing lost."""
    return 10.0 * volume_solids_pct / dry_film_um


def litres(
    area_m2: float, *, dry_film_um: float, volume_solids_pct: float, transfer_efficiency_pct: float
) -> float:
    """Return the litres to mix for ``area_m2``, the gun's loss included."""
    used = area_m2 / spreading_rate_m2_per_l(volume_solids_pct, dry_film_um)
    return used / (transfer_efficiency_pct / 100.0)


def mixed_litres(exact_l: float) -> Decimal:
    """Round up to what can be weighed out on the mixing scale."""
    steps = (Decimal(repr(exact_l)) / MIXING_STEP_L).to_integral_value(rounding=ROUND_CEILING)
    return max(steps, Decimal(1)) * MIXING_STEP_L
