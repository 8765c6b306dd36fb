"""What a customer can send on the page of their job."""

from __future__ import annotations

import secrets
from typing import TYPE_CHECKING, Any

from crispy_forms.bootstrap import StrictButton
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

TEXT_MAX = 4000


def helper(form: forms.Form, address: str, button: StrOrPromise, kind: str = "btn-main") -> FormHelper:
    """Return a crispy helper that draws all fields and posts to an address of its own."""
    made = FormHelper()
    made.form_action = address
    made.attrs = {"novalidate": ""}
    press = StrictButton(button, type="submit", css_class=f"btn {kind}")
    made.layout = Layout(*form.fields, press)
    return made


def area(rows: int = 4) -> forms.Textarea:
    """Return a text area."""
    return forms.Textarea(attrs={"rows": rows, "maxlength": TEXT_MAX})


def new_press() -> str:
    """Return a value of its own for a form that is shown, so that a second press is known as one."""
    return secrets.token_urlsafe(18)


class PlainTextField(forms.CharField):
    """Some text by a person; characters that no text holds are refused by Django itself."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=TEXT_MAX, widget=area(), **kwargs)


class MessageForm(forms.Form):
    """One message to the workshop."""

    text = PlainTextField(label=_("Your message"))
    press = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args: Any, address: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"press": new_press()})
        kwargs.setdefault("prefix", "message")
        super().__init__(*args, **kwargs)
        self.helper = helper(self, address, _("Send message"))


class AnswerForm(forms.Form):
    """An answer to a question or a change, without agreeing."""

    answer = PlainTextField(label=_("Your answer"))

    def __init__(self, *args: Any, address: str = "", is_main: bool = True, **kwargs: Any) -> None:
        kwargs.setdefault("prefix", "answer")
        super().__init__(*args, **kwargs)
        self.helper = helper(self, address, _("Send answer"), "btn-main" if is_main else "")


class AcceptForm(forms.Form):
    """A yes to one exact revision."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    consent = forms.BooleanField(
        label=_("I agree to this version at this price"),
        error_messages={"required": _("Tick this to accept.")},
    )

    def __init__(self, *args: Any, address: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("prefix", "accept")
        super().__init__(*args, **kwargs)
        self.helper = helper(self, address, _("Accept the change"))


class CancelForm(forms.Form):
    """Calling the job off."""

    why = PlainTextField(label=_("Why do you call it off?"))
    sure = forms.BooleanField(
        label=_("Yes, call the job off"), error_messages={"required": _("Tick this to call the job off.")}
    )

    def __init__(self, *args: Any, address: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("prefix", "cancel")
        super().__init__(*args, **kwargs)
        self.helper = helper(self, address, _("Call the job off"), "btn-stop")


class LinkForm(forms.Form):
    """Asking for a link that works."""

    email = forms.EmailField(
        label=_("Your e-mail address"), help_text=_("The one you gave when you sent your build.")
    )

    def __init__(self, *args: Any, address: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["email"].widget.attrs["autocomplete"] = "email"
        self.helper = helper(self, address, _("Send me a new link"))
