"""What staff can send to a customer."""

from __future__ import annotations

import secrets
from typing import Any

from crispy_forms.bootstrap import StrictButton
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.utils.translation import gettext_lazy as _

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
