"""What a customer can send on the page of their job."""

from __future__ import annotations

import secrets
from datetime import date
from typing import Any, ClassVar

from crispy_forms.bootstrap import StrictButton
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from configurator.pages.forms_typed import LongTextField

TEXT_MAX = 4000


class PostedForm(forms.Form):
    """A form that posts to an address of its own, since the page holds several."""

    button: ClassVar[str | Promise]
    look: ClassVar[str] = "btn-main"
    own_prefix: ClassVar[str | None] = None

    def __init__(self, data: Any = None, *, address: str = "", initial: Any = None, look: str = "") -> None:
        super().__init__(data, prefix=self.own_prefix, initial=initial)
        self.address = address
        self.helper = FormHelper()
        self.helper.form_action = address
        press = StrictButton(self.button, type="submit", css_class=f"btn {look or self.look}")
        self.helper.layout = Layout(*self.fields, press)


class PlainTextField(LongTextField):
    """Some text by a person."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=TEXT_MAX, **kwargs)


def new_press() -> str:
    """Return a value of its own for a form that is shown, so that a second press is known as one."""
    return secrets.token_urlsafe(18)


class MessageForm(PostedForm):
    """One message to the workshop."""

    button, own_prefix = _("Send message"), "message"
    text = PlainTextField(label=_("Your message"))
    press = forms.CharField(max_length=30, widget=forms.HiddenInput, initial=new_press)


class DaysForm(PostedForm):
    """Up to three days on which the customer would rather come."""

    button, own_prefix, look = _("Propose these days"), "days", "btn-plain"
    first = forms.DateField(label=_("A day that suits you"), widget=forms.DateInput(attrs={"type": "date"}))
    second = forms.DateField(
        label=_("Another one"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    third = forms.DateField(
        label=_("And one more"), required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    note = forms.CharField(label=_("A word about it"), required=False, max_length=500)

    def days(self) -> list[date]:
        """Return the days in the customer's order."""
        return [day for name in ("first", "second", "third") if (day := self.cleaned_data.get(name))]


class AnswerForm(PostedForm):
    """An answer to a question or a change, without agreeing."""

    button, own_prefix = _("Send answer"), "answer"
    answer = PlainTextField(label=_("Your answer"))
    asked = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=1)


class AcceptForm(PostedForm):
    """A yes to one exact revision."""

    button, own_prefix = _("Accept this version"), "accept"
    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    consent = forms.BooleanField(
        label=_("I agree to this version at this price"),
        error_messages={"required": _("Tick this to accept.")},
    )


class CancelForm(PostedForm):
    """Calling the job off."""

    button, own_prefix, look = _("Call the job off"), "cancel", "btn-stop"
    why = PlainTextField(label=_("Why do you call it off?"))
    sure = forms.BooleanField(
        label=_("Yes, call the job off"), error_messages={"required": _("Tick this to call the job off.")}
    )

    def __init__(self, *args: Any, freely: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if freely:
            self.fields["why"].required = False
            self.fields["why"].help_text = _("You need not give a reason. It helps us if you do.")


class LinkForm(PostedForm):
    """Asking for a link that works."""

    button = _("Send me a new link")
    email = forms.EmailField(
        label=_("Your e-mail address"),
        help_text=_("The one you gave when you sent your build."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
