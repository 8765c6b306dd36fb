"""What the rows of everything that is bought must agree on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from .known import Blame, Known

PARTS = ("items", "wheels", "tyres", "spacers", "fasteners", "centring_rings")


def _supplier_numbers(known: Known) -> dict[tuple[str, str], set[str]]:
    """Return the codes that go by each supplier's number."""
    found: dict[tuple[str, str], set[str]] = {}
    for namespace in PARTS:
        for row in known.some(namespace):
            if row.supplier_ref:
                found.setdefault((row.supplier, row.supplier_ref.casefold()), set()).add(row.code)
    return found


def item(row: Any, known: Known) -> Iterator[Blame]:
    """Two goods of one supplier never go by one number: what is ordered would be either."""
    if row.supplier_ref:
        codes = known.once("supplier_numbers", _supplier_numbers)
        for other in sorted(codes.get((row.supplier, row.supplier_ref.casefold()), set()) - {row.code}):
            yield (
                "supplier_ref",
                (
                    _("‘%(number)s’ is the number of ‘%(other)s’ too.")
                    % {"number": row.supplier_ref, "other": other}
                ),
            )
