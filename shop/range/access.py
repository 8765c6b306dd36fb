"""Who may change what of the catalogue: the manager all of it, the buyer what things cost and where from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from configurator.catalogue.plain import Plain
from shop.jobs.access import staff
from shop.jobs.roles import roles_of
from shop.jobs.states import BUYER, MANAGER

PRICE_FIELDS = frozenset({"unit_cost", "unit_price", "supplier_ref", "pack_size", "lead_time_days"})
"""What a buyer may change of goods."""

looks = staff(MANAGER, BUYER)
edits = staff(MANAGER)


def may_edit_all(user: Any) -> bool:
    """Whether someone may change anything of the catalogue."""
    return MANAGER in roles_of(user)


def editable(user: Any, kind: str, fields: Iterable[str]) -> frozenset[str]:
    """Return which of a kind's fields someone may change."""
    if may_edit_all(user):
        return frozenset(fields)
    return frozenset(fields) & PRICE_FIELDS if "unit_cost" in set(fields) else frozenset()


def may_put_live(user: Any, changes: Iterable[tuple[Plain | None, Plain | None]]) -> bool:
    """Whether someone may put live what a draft changes: a buyer only what a buyer may change."""
    if may_edit_all(user):
        return True
    return all(
        before is not None
        and after is not None
        and {name for name in after if before.get(name) != after[name]} <= PRICE_FIELDS
        for before, after in changes
    )
