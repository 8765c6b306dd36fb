"""Demo staff: one account a role. Only the demo command makes them."""

from __future__ import annotations

from django.contrib.auth.models import Group, User

from .states import BUYER, MANAGER, REVIEWER, STAFF_ROLES, TECHNICIAN

DEMO_PASSWORD = "kerbline-demo"  # noqa: S105 - public on purpose, printed by the demo command
DEMO_STAFF = {
    "mira": ("Mira", "Holt", (REVIEWER,)),
    "jonas": ("Jonas", "Reed", (REVIEWER,)),
    "petra": ("Petra", "Lang", (BUYER,)),
    "timo": ("Timo", "Brandt", (TECHNICIAN,)),
    "anke": ("Anke", "Vogt", (MANAGER,)),
}


def make_demo_staff() -> list[tuple[str, str, str]]:
    """Make the demo accounts and return (user name, password, roles); run again, it changes nothing.

    An account that already exists keeps its own password, which is then shown as an empty text.
    """
    for role in STAFF_ROLES:
        Group.objects.get_or_create(name=role)
    return [(name, _password_of(name), ", ".join(DEMO_STAFF[name][2])) for name in DEMO_STAFF]


def _password_of(name: str) -> str:
    first, last, roles = DEMO_STAFF[name]
    user, made = User.objects.get_or_create(
        username=name, defaults={"first_name": first, "last_name": last, "email": f"{name}@kerbline.example"}
    )
    if made:
        user.set_password(DEMO_PASSWORD)
        user.save(update_fields=["password"])
    user.groups.add(*Group.objects.filter(name__in=roles))
    return DEMO_PASSWORD if user.check_password(DEMO_PASSWORD) else ""
