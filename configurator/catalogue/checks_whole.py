"""What the catalogue must have as a whole, so that no customer or buyer trips over what is missing."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from .known import Known

COVERED = ("wheels", "tyres", "spacers")
"""Kinds of goods that are fitted by a recipe of the same name."""


def covered(known: Known) -> Iterator[tuple[str, str, str]]:
    """What is sold is also fitted: every kind of goods has the recipe that says how."""
    there = {row.covers for row in known.all("recipes") if not row.retired}
    for name in COVERED:
        if name not in there and known.has(name):
            yield "", "covers", _no_recipe(name)
    if "job" not in there:
        yield "", "covers", _("No recipe covers ‘job’: nothing says what every job begins and ends with.")
    if "rings" not in there and known.has("centring_rings"):
        yield "", "covers", _no_recipe("rings")
    if "mixed" not in there and any(row.role == "accent" for row in known.some("finishes")):
        yield "", "covers", _no_recipe("mixed")


def _no_recipe(name: str) -> str:
    return _("No recipe covers ‘%(name)s’: they would be sold without a step that fits them.") % {
        "name": name
    }
