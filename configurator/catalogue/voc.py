"""Limits on the organic solvents that evaporate from a coating: Directive 2004/42/EC, Annex II B."""

from __future__ import annotations

# Directive 2004/42/EC Annex II B, grams per litre ready to use. Letters a and c cover two products
# each; the narrower limit stands here, so that nothing is passed by a limit that is not its own.
VOC_LIMITS_G_PER_L = {"a": 200.0, "b": 250.0, "c": 540.0, "d": 420.0, "e": 840.0}


def over_voc_limit(subcategory: str, voc_g_per_l: float) -> float | None:
    """Return by how many g/l a product is over its limit, or ``None`` when it is lawful.

    An unknown subcategory is never lawful by silence: the whole content counts as over.
    """
    over = voc_g_per_l - VOC_LIMITS_G_PER_L.get(subcategory, 0.0)
    return over if over > 0 else None
