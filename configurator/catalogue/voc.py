"""Limits on the organic solvents that evaporate from a coating: Directive 2004/42/EC, Annex II B."""

from __future__ import annotations

# Directive 2004/42/EC Annex II B, grams per litre ready to use, by subcategory. Letters a and c cover
# two products each; the narrower limit stands here, so that nothing is passed by a limit that is not
# its own: the wider one holds only for a product that says what it is.
VOC_LIMITS_G_PER_L = {"a": 200.0, "b": 250.0, "c": 540.0, "d": 420.0, "e": 840.0}

# The products with a limit of their own within their subcategory, from the same table.
OWN_LIMITS_G_PER_L = {
    ("a", "preparatory"): 850.0,
    ("a", "pre-cleaner"): 200.0,
    ("c", "wash-primer"): 780.0,
}


def voc_limit(subcategory: str, product: str = "") -> float | None:
    """Return the limit in g/l, or ``None`` for a subcategory, or a product of it, that is not in the table.

    ``product`` is one that has a limit of its own (``OWN_LIMITS_G_PER_L``), or empty for any other.
    """
    if product:
        return OWN_LIMITS_G_PER_L.get((subcategory, product))
    return VOC_LIMITS_G_PER_L.get(subcategory)


def over_voc_limit(subcategory: str, voc_g_per_l: float, product: str = "") -> float | None:
    """Return by how many g/l a product is over its limit, or ``None`` when it is lawful.

    What is not in the table is never lawful by silence: the whole content counts as over.
    """
    over = voc_g_per_l - (voc_limit(subcategory, product) or 0.0)
    return over if over > 0 else None
