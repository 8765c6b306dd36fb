"""Litres of paint from area and film thickness; limits on what evaporates.

The spreading rate is that of ISO 23811 and the coating handbooks: one litre of paint with volume
solids ``VS`` per cent covers ``10 * VS / film_um`` square metres when nothing is lost. The gun loses
some, which the transfer efficiency says.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

# Directive 2004/42/EC Annex II B, grams per litre ready to use. Letters a and c cover two products
# each; the narrower limit stands here, so that nothing is passed by a limit that is not its own.
VOC_LIMITS_G_PER_L = {"a": 200.0, "b": 250.0, "c": 540.0, "d": 420.0, "e": 840.0}
MIXING_STEP_L = Decimal("0.05")


def spreading_rate_m2_per_l(volume_solids_pct: float, dry_film_um: float) -> float:
    """Return the square metres that one litre covers at this dry film, nothing lost."""
    return 10.0 * volume_solids_pct / dry_film_um


def wet_film_um(volume_solids_pct: float, dry_film_um: float) -> float:
    """Return the wet film that dries to ``dry_film_um``."""
    return 100.0 * dry_film_um / volume_solids_pct


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


def over_voc_limit(subcategory: str, voc_g_per_l: float) -> float | None:
    """Return by how many g/l a product is over its limit, or ``None`` when it is lawful.

    An unknown subcategory is never lawful by silence: the whole content counts as over.
    """
    over = voc_g_per_l - VOC_LIMITS_G_PER_L.get(subcategory, 0.0)
    return over if over > 0 else None
