"""Signing in and out, a forgotten password, the second factor, one's own account."""

from __future__ import annotations

from typing import Any

import django_otp
import segno
from django.contrib import messages
from django.contrib.auth import login, update_session_auth_hash
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.contrib.auth.views import (
    LoginView,
    PasswordChangeView,
    PasswordResetConfirmView,
    PasswordResetView,
)
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from configurator.pages.bounded import again, too_many

from . import preferring, service
from .forms import CodeForm, EverywhereForm, ForgottenForm, PreferencesForm, SignInForm


class SignIn(LoginView):
    """Name and password; who has a second factor shows it next."""

    template_name = "registration/login.html"
    authentication_form = SignInForm

    def form_valid(self, form: Any) -> HttpResponse:
        """Sign in; the guard asks for the second factor before any page of the workshop opens."""
        login(self.request, form.get_user())
        user = form.get_user()
        return self._with_choices(self._onwards(user), user)

    def _with_choices(self, response: HttpResponse, user: User) -> HttpResponse:
        """Have this device show the pages as they chose; where they chose nothing, it stays as it is."""
        chosen = {name: value for name, value in preferring.of(user).items() if value}
        preferring.carry(response, chosen, secure=self.request.is_secure())
        return response

    def _onwards(self, user: User) -> HttpResponse:
        address = self.get_success_url()
        if service.has_second_factor(user):
            self.request.session["code_wanted"], self.request.session["after_code"] = True, address
            return redirect("second_factor")
        return redirect(address)


class Forgotten(PasswordResetView):
    """Ask for a link to a new password."""

    template_name = "registration/forgotten.html"
    form_class = ForgottenForm
    success_url = reverse_lazy("password_asked")

    def form_valid(self, form: Any) -> HttpResponse:
        """Have the mails sent, unless this address has asked too often."""
        if wait := too_many(self.request, "passwords"):
            sentence = _("From your connection came as many requests for passwords as we take.")
            form.add_error(None, f"{sentence} {again(wait)}")
            return render(self.request, self.template_name, {"form": form}, status=429)
        return super().form_valid(form)


class SetPassword(PasswordResetConfirmView):
    """Set a password by the link of a mail."""

    template_name = "registration/set_password.html"
    success_url = reverse_lazy("login")

    def form_valid(self, form: Any) -> HttpResponse:
        """Store it and say so at the sign-in."""
        messages.success(self.request, _("Your password is set. Sign in with it."))
        return super().form_valid(form)


class ChangePassword(PasswordChangeView):
    """Change one's own password; other sessions end with the old one."""

    template_name = "registration/change_password.html"
    success_url = reverse_lazy("account")

    def form_valid(self, form: Any) -> HttpResponse:
        """Store it and say so."""
        messages.success(self.request, _("Your password is changed. You are signed out everywhere else."))
        return super().form_valid(form)


def password_asked(request: HttpRequest) -> HttpResponse:
    """Say what happens now, whoever asked."""
    return render(request, "registration/password_asked.html")


@never_cache
@sensitive_post_parameters("code")
@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def second_factor(request: HttpRequest) -> HttpResponse:
    """Take the code of who has an authenticator; set one up for who has none."""
    user = request.user
    if user.is_verified():  # type: ignore[union-attr]
        return redirect("account")
    if not service.has_second_factor(user):
        return _set_up(request)
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        device = django_otp.match_token(user, form.cleaned_data["code"])
        if device:
            django_otp.login(request, device)
            return redirect(request.session.pop("after_code", "shop:inbox"))
        form.add_error("code", _("That code does not fit. After several tries we wait longer each time."))
    status = 422 if form.errors else 200
    return render(request, "registration/code.html", {"form": form}, status=status)


def _set_up(request: HttpRequest) -> HttpResponse:
    assert isinstance(request.user, User)  # noqa: S101 - login_required has seen to it
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        codes = service.confirm_second_factor(request.user, form.cleaned_data["code"])
        if codes:
            device = next(iter(django_otp.devices_for_user(request.user)))
            django_otp.login(request, device)
            return render(request, "registration/recovery_codes.html", {"codes": codes})
        form.add_error("code", _("That code does not fit. Does the clock of your phone run right?"))
    device = service.begin_second_factor(request.user)
    context = {"form": form, "qr": _qr(device.config_url), "secret": _spelt(device.config_url)}
    return render(request, "registration/set_up_code.html", context, status=422 if form.errors else 200)


def _qr(url: str) -> SafeString:
    svg = segno.make(url, error="m", micro=False).svg_inline(omitsize=True, border=4, light="#fff")
    return mark_safe(svg)  # noqa: S308 - drawn by the library from our own address


def _spelt(url: str) -> str:
    """Return the secret in groups of four, for who types it."""
    secret = url.partition("secret=")[2].partition("&")[0]
    return " ".join(secret[i : i + 4] for i in range(0, len(secret), 4))


@never_cache
@login_required
@require_http_methods(["GET", "HEAD"])
def account(request: HttpRequest) -> HttpResponse:
    """One's own account: password, second factor, other sessions."""
    return _account(request, EverywhereForm(user=request.user))  # type: ignore[arg-type]


@login_required
@require_POST
def prefer(request: HttpRequest) -> HttpResponse:
    """Keep how somebody likes the pages, and show them so at once."""
    assert isinstance(request.user, User)  # noqa: S101 - login_required has seen to it
    form = PreferencesForm(request.POST)
    if not form.is_valid():
        return _account(request, EverywhereForm(user=request.user), 422, form)
    preferring.keep(request.user, form.cleaned_data)
    with override(form.cleaned_data["language"] or get_language()):
        messages.success(request, _("Kept with your account, for every device."))
    response = redirect("account")
    preferring.carry(response, form.cleaned_data, secure=request.is_secure())
    return response


def _account(
    request: HttpRequest,
    form: EverywhereForm,
    status: int = 200,
    preferences: PreferencesForm | None = None,
) -> HttpResponse:
    context = {
        "form": form,
        "preferences": preferences or PreferencesForm(initial=preferring.of(request.user)),
        "has_second_factor": service.has_second_factor(request.user),
    }
    return render(request, "registration/account.html", context, status=status)


@sensitive_post_parameters("password")
@login_required
@require_POST
def everywhere(request: HttpRequest) -> HttpResponse:
    """End every other session of this person: they hang on the password's hash, which is made anew."""
    assert isinstance(request.user, User)  # noqa: S101 - login_required has seen to it
    form = EverywhereForm(request.POST, user=request.user)
    if not form.is_valid():
        return _account(request, form, 422)
    request.user.set_password(form.cleaned_data["password"])
    request.user.save(update_fields=["password"])
    update_session_auth_hash(request, request.user)
    messages.success(request, _("You are signed out everywhere else."))
    return redirect("account")
