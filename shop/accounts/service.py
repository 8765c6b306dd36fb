"""Accounts of staff: invited by mail, given roles, shut off, signed out everywhere."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import Group, User
from django.db import transaction
from django.utils.translation import gettext as _
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.jobs.states import MANAGER, STAFF_ROLES

from .letters import promise_account_mail

RECOVERY_CODES = 8


class AccountError(ValueError):
    """The account cannot be made or changed so; ``field`` names what is wrong, ``str(error)`` says it."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


@transaction.atomic
def invite(*, name: str, email: str, roles: Iterable[str], first_name: str = "", last_name: str = "") -> User:
    """Make an account without a password and mail the person a link to set one.

    Raises AccountError for a name that is taken, an unknown role, or no role.
    """
    wanted = _known(roles)
    if User.objects.filter(username__iexact=name).exists():
        raise AccountError(_("Somebody has this name already."), "name")
    user = User(username=name, email=email, first_name=first_name, last_name=last_name)
    user.set_unusable_password()
    user.save()
    user.groups.set(Group.objects.filter(name__in=wanted))
    promise_account_mail(user, "invitation")
    return user


def _known(roles: Iterable[str]) -> set[str]:
    wanted = set(roles)
    if unknown := wanted - set(STAFF_ROLES):
        raise AccountError(_("There is no role %(role)s.") % {"role": ", ".join(sorted(unknown))}, "roles")
    if not wanted:
        raise AccountError(_("Choose at least one role."), "roles")
    for role in STAFF_ROLES:
        Group.objects.get_or_create(name=role)
    return wanted


@transaction.atomic
def invite_again(*, user_id: int) -> None:
    """Mail the link once more, or a link to a new password to somebody who has one."""
    user = User.objects.select_for_update().get(pk=user_id)
    promise_account_mail(user, "reset" if user.has_usable_password() else "invitation")


@transaction.atomic
def give_roles(*, user_id: int, roles: Iterable[str], by: User) -> None:
    """Set somebody's roles. Raises AccountError when nobody would be left to manage accounts."""
    wanted = _known(roles)
    user = User.objects.select_for_update().get(pk=user_id)
    if MANAGER not in wanted:
        _keep_a_manager(user)
    user.groups.set(Group.objects.filter(name__in=wanted))


@transaction.atomic
def set_active(*, user_id: int, active: bool, by: User) -> None:
    """Shut an account off or open it again; whoever is shut off is signed out at once.

    Raises AccountError for one's own account and for the last manager's.
    """
    user = User.objects.select_for_update().get(pk=user_id)
    if not active:
        if user.pk == by.pk:
            raise AccountError(_("You cannot shut off your own account."))
        _keep_a_manager(user)
    user.is_active = active
    user.save(update_fields=["is_active"])


def _keep_a_manager(leaving: User) -> None:
    # Locked in order, so that two managers cannot take the role from each other at once.
    managers = User.objects.select_for_update().filter(is_active=True, groups__name=MANAGER).order_by("pk")
    if {user.pk for user in managers} == {leaving.pk}:
        raise AccountError(_("This is the last manager: give somebody else the role first."))


@transaction.atomic
def begin_second_factor(user: User) -> TOTPDevice:
    """Return the authenticator that is being set up, made anew until it is confirmed."""
    device = TOTPDevice.objects.filter(user=user, confirmed=False).first()
    return device or TOTPDevice.objects.create(user=user, name="authenticator", confirmed=False)


@transaction.atomic
def confirm_second_factor(user: User, code: str) -> list[str] | None:
    """Take the authenticator into use if the code is right, and return new recovery codes; else None."""
    device = TOTPDevice.objects.select_for_update().filter(user=user, confirmed=False).first()
    if device is None or not device.verify_token(code):
        return None
    TOTPDevice.objects.filter(user=user, confirmed=True).delete()
    device.confirmed = True
    device.save(update_fields=["confirmed"])
    return _new_recovery_codes(user)


def _new_recovery_codes(user: User) -> list[str]:
    StaticDevice.objects.filter(user=user).delete()
    device = StaticDevice.objects.create(user=user, name="recovery codes")
    codes = [StaticToken.random_token() for _number in range(RECOVERY_CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=device, token=code) for code in codes)
    return codes


@transaction.atomic
def drop_second_factor(*, user_id: int) -> None:
    """Take somebody's authenticator and codes away, as when the phone is lost; they set up a new one."""
    for model in (TOTPDevice, StaticDevice):
        model.objects.filter(user_id=user_id).delete()


def has_second_factor(user: Any) -> bool:
    """Whether the person has an authenticator in use."""
    return TOTPDevice.objects.filter(user=user, confirmed=True).exists()
