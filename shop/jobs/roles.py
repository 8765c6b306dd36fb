"""Who acts: staff by role, the customer by their link, or the system itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import Group, User

from .states import CUSTOMER, MANAGER, STAFF_ROLES, SYSTEM


@dataclass(frozen=True)
class Actor:
    """Who does something, and in which roles."""

    name: str
    roles: frozenset[str]
    user: User | None = None


By = User | Actor | str
THE_CUSTOMER = Actor(CUSTOMER, frozenset({CUSTOMER}))
THE_SYSTEM = Actor(SYSTEM, frozenset({SYSTEM}))


def actor(by: By) -> Actor:
    """Return who acts, from a user, ``"customer"`` or ``"system"``.

    Raises KeyError for any other text.
    """
    if isinstance(by, Actor):
        return by
    if isinstance(by, str):
        return {CUSTOMER: THE_CUSTOMER, SYSTEM: THE_SYSTEM}[by]
    return Actor(by.get_username(), roles_of(by), by)


def roles_of(user: Any) -> frozenset[str]:
    """Return the staff roles of a user; a superuser has the manager's, an inactive one none."""
    if not user.is_authenticated or not user.is_active:
        return frozenset()
    known = getattr(user, "_kerb_roles", None)
    if known is None:
        names = set(user.groups.values_list("name", flat=True)) & set(STAFF_ROLES)
        known = frozenset(names | {MANAGER} if user.is_superuser else names)
        user._kerb_roles = known
    return known


def make_roles(**kwargs: Any) -> None:
    """Make sure that a group exists for every staff role; run after every migrate."""
    for role in STAFF_ROLES:
        Group.objects.get_or_create(name=role)
