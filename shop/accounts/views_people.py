"""The manager's page of accounts: who is who, who may what, who signed in."""

from __future__ import annotations

from axes.models import AccessFailureLog, AccessLog
from django.contrib import messages
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_otp.plugins.otp_totp.models import TOTPDevice

from shop.jobs.access import staff
from shop.jobs.states import MANAGER

from . import service
from .forms import InviteForm, RolesForm

LAST = 100


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    """Show every account; take an invitation."""
    form = InviteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            user = service.invite(**form.cleaned_data)
        except service.AccountError as error:
            form.add_error(error.field or None, str(error))
        else:
            messages.success(request, _("%(mail)s gets a mail with a link.") % {"mail": user.email})
            return redirect("shop:people_accounts")
    return _people(request, form, status=422 if form.errors else 200)


def _people(request: HttpRequest, form: InviteForm, status: int = 200) -> HttpResponse:
    users = User.objects.prefetch_related("groups").order_by("-is_active", "username")
    with_factor = set(TOTPDevice.objects.filter(confirmed=True).values_list("user", flat=True))
    rows = [(user, [group.name for group in user.groups.all()], user.pk in with_factor) for user in users]
    return render(request, "shop/accounts/people.html", {"rows": rows, "form": form}, status=status)


@staff(MANAGER)
@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, user_id: int) -> HttpResponse:
    """One account: roles, shut off, open, invite again, take the second factor away."""
    user = get_object_or_404(User.objects.prefetch_related("groups"), pk=user_id)
    form = RolesForm(request.POST or None, initial={"roles": [group.name for group in user.groups.all()]})
    if request.method == "POST" and form.is_valid():
        try:
            service.give_roles(user_id=user.pk, roles=form.cleaned_data["roles"], by=request.user)  # type: ignore[arg-type]
        except service.AccountError as error:
            form.add_error("roles", str(error))
        else:
            messages.success(request, _("Roles are set."))
            return redirect("shop:people_accounts")
    context = {"person": user, "form": form, "has_second_factor": service.has_second_factor(user)}
    return render(request, "shop/accounts/person.html", context, status=422 if form.errors else 200)


@staff(MANAGER)
@require_POST
def deed(request: HttpRequest, user_id: int, name: str) -> HttpResponse:
    """Do one of the buttons of an account."""
    user = get_object_or_404(User, pk=user_id)
    try:
        said = _done(request, user, name)
    except service.AccountError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, said)
    return redirect("shop:person_account", user_id)


def _done(request: HttpRequest, user: User, name: str) -> str:
    assert isinstance(request.user, User)  # noqa: S101 - staff() has seen to it
    if name == "again":
        service.invite_again(user_id=user.pk)
        return _("%(mail)s gets a mail with a link.") % {"mail": user.email}
    if name == "drop-code":
        service.drop_second_factor(user_id=user.pk)
        return _("The authenticator is taken away; a new one is set up at the next sign-in.")
    service.set_active(user_id=user.pk, active=name == "open", by=request.user)
    return _("The account is open again.") if name == "open" else _("The account is shut off.")


@staff(MANAGER)
@require_safe
def sign_ins(request: HttpRequest) -> HttpResponse:
    """Show who signed in and who was refused, newest first."""
    context = {
        "came": AccessLog.objects.order_by("-attempt_time")[:LAST],
        "refused": AccessFailureLog.objects.order_by("-attempt_time")[:LAST],
    }
    return render(request, "shop/accounts/sign_ins.html", context)


@staff(MANAGER)
@require_safe
def sign_ins_of(request: HttpRequest, user_id: int) -> HttpResponse:
    """Show the sign-ins of one account."""
    user = get_object_or_404(User, pk=user_id)
    name = user.get_username()
    context = {
        "person": user,
        "came": AccessLog.objects.filter(username=name).order_by("-attempt_time")[:LAST],
        "refused": AccessFailureLog.objects.filter(username=name).order_by("-attempt_time")[:LAST],
    }
    return render(request, "shop/accounts/sign_ins.html", context)
