"""How a customer is reached, as they put it right on the page of their job."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from configurator.pages.forms_typed import PhoneField

from .forms import PostedForm


class PhoneForm(PostedForm):
    """Another telephone number, or none."""

    button, own_prefix, look = _("Keep this number"), "phone", "btn-plain"
    phone = PhoneField(label=_("Telephone"), required=False)


class MailForm(PostedForm):
    """Another mail address, to be proved before it counts."""

    button, own_prefix, look = _("Change the mail address"), "mail", "btn-plain"
    email = forms.EmailField(
        label=_("New mail address"),
        help_text=_("We write to it first. It counts once you have opened the link in that mail."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
