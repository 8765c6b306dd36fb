"""What one more or one fewer choice does to the price of this very build.

The price is made anew for the changed build and the two totals compared, so work that is shared counts once
and a choice that makes another part needless is cheaper by it. Only sums are made (``shares.py``): no lines,
no plan, and of the rules only those that bring something.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from configurator.catalogue.related import rows_of

from . import brought, shares, suggest
from .build import Build
from .resolve import resolve
from .selection import Selection

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

KEPT_TOTALS = 5000


def total(selection: Selection, catalogue: Catalogue) -> Decimal:
    """Return what the build costs, tax included, as ``evaluate`` would; nothing for an unknown vehicle."""
    build = resolve(selection, catalogue)
    if not isinstance(build, Build) or catalogue.workshop is None:
        return Decimal(0)
    return shares.added(build, brought.brings(build, catalogue), catalogue)


def differences(
    selection: Selection, others: Mapping[str, Selection], catalogue: Catalogue
) -> dict[str, Decimal]:
    """Return by how much each other selection is dearer than this one.

    Where something is painted and its colour is not said yet, all are reckoned in the first colour there is:
    the wish for a colour is no reason to show too low a price.
    """
    here = _known(_coloured(selection, catalogue), catalogue)
    found = {}
    for key, other in others.items():
        followed, _told = suggest.follow_wheels(_coloured(other, catalogue), catalogue)
        found[key] = _known(followed, catalogue) - here
    return found


def _known(selection: Selection, catalogue: Catalogue) -> Decimal:
    """Return the total, worked out once: what was offered is what is chosen next, or taken back."""
    same = selection.model_dump_json()
    return catalogue.once("totals", same, lambda: total(selection, catalogue), most=KEPT_TOTALS)


def _coloured(selection: Selection, catalogue: Catalogue) -> Selection:
    update = {}
    if selection.accent is None:
        accent = next((f.code for f in catalogue.finishes.values() if f.role == f.Role.ACCENT), None)
        update["accent"] = accent
    generation = catalogue.generations.get(selection.generation)
    if not selection.body_is_said and generation is not None:
        update["body_finish"] = next((finish.code for finish in rows_of(generation, "body_finishes")), None)
    return selection.model_copy(update=update) if update else selection
