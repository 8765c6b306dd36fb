"""Forms of accounts: signing in, the second factor, inviting, roles."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm, PasswordResetForm
from django.contrib.auth.models import User
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.utils.translation import gettext_lazy as _

from shop.jobs.states import STAFF_ROLES

from .letters import promise_account_mail

ROLE_WORDS = {
    "reviewer": _("reviewer: looks through builds, talks with customers"),
    "buyer": _("buyer: orders, stock, goods in"),
    "technician": _("technician: the work in the bay"),
    "manager": _("manager: money, plan, accounts"),
}


class SignInForm(AuthenticationForm):
    """Name and password; the browser may offer what it keeps."""


class CodeForm(forms.Form):
    """A code of the authenticator, or one of the recovery codes."""

    code = forms.CharField(
        label=_("Code"),
        max_length=16,
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "inputmode": "text", "autofocus": True}
        ),
    )

    def clean_code(self) -> str:
        """Return the code without the blanks that people type for ease."""
        return str(self.cleaned_data["code"]).replace(" ", "").lower()


class ForgottenForm(PasswordResetForm):
    """An address; whoever has an account there gets a mail, and the answer is the same for everyone."""

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Promise the mail to every account of the address, invited or with a password."""
        for user in User.objects.filter(email__iexact=self.cleaned_data["email"], is_active=True):
            promise_account_mail(user, "reset" if user.has_usable_password() else "invitation")


class RolesForm(forms.Form):
    """Which roles somebody has."""

    roles = forms.MultipleChoiceField(
        label=_("Roles"),
        choices=[(role, ROLE_WORDS[role]) for role in STAFF_ROLES],
        widget=forms.CheckboxSelectMultiple,
    )


class InviteForm(RolesForm):
    """A new account."""

    name = forms.CharField(
        label=_("Name to sign in with"), max_length=150, validators=[UnicodeUsernameValidator()]
    )
    first_name = forms.CharField(label=_("First name"), max_length=150, required=False)
    last_name = forms.CharField(label=_("Last name"), max_length=150, required=False)
    email = forms.EmailField(label=_("Mail address"))

    field_order = ("name", "first_name", "last_name", "email", "roles")


class PreferencesForm(forms.Form):
    """How somebody likes the pages; what follows the device is empty."""

    language = forms.ChoiceField(label=_("Language"), required=False)
    theme = forms.ChoiceField(
        label=_("Light or dark"),
        required=False,
        choices=[("", _("As the device")), ("light", _("Light")), ("dark", _("Dark"))],
    )
    units = forms.ChoiceField(
        label=_("Lengths in"),
        required=False,
        choices=[("mm", _("millimetres")), ("in", _("inches"))],
        help_text=_("On the customer’s pages, also as you preview them."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["language"].choices = [("", _("As the device")), *settings.LANGUAGES]  # type: ignore[attr-defined]


class EverywhereForm(forms.Form):
    """The password, asked again before every other session is ended."""

    password = forms.CharField(
        label=_("Your password"), widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_password(self) -> str:
        """Return the password if it is theirs."""
        password = str(self.cleaned_data["password"])
        if not self.user.check_password(password):
            raise forms.ValidationError(_("That is not your password."))
        return password
