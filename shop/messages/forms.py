"""What staff can send to a customer."""

from __future__ import annotations

import secrets
from typing import Any

from crispy_forms.bootstrap import StrictButton
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from .models_news import NewsSetting

TEXT_MAX = 4000


class StaffMessageForm(forms.Form):
    """One message to the customer; they get it by mail and on their page."""

    text = forms.CharField(
        label=_("Message to the customer"),
        max_length=TEXT_MAX,
        widget=forms.Textarea(attrs={"rows": 4, "maxlength": TEXT_MAX}),
        help_text=_("Goes out by mail and stays on the customer's page."),
    )
    press = forms.CharField(max_length=30, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, address: str = "") -> None:
        super().__init__(data, prefix="staff", initial={"press": secrets.token_urlsafe(18)})
        self.helper = FormHelper()
        self.helper.form_action = address
        press = StrictButton(_("Send message"), type="submit", css_class="btn btn-main")
        self.helper.layout = Layout("text", "press", press)


class NewsForm(forms.Form):
    """How the workshop is told, and in which language."""

    when = forms.ChoiceField(
        label=_("You are told"), choices=NewsSetting.When.choices, widget=forms.RadioSelect
    )
    language = forms.ChoiceField(
        label=_("Language of these mails"),
        required=False,
        choices=[("", _("as of the account with that address")), *settings.LANGUAGES],
    )
