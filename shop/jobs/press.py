"""One pressing of a button: its key makes sending a form twice one deed."""

from __future__ import annotations

import secrets
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


def new_key() -> str:
    """Return a key that makes pressing a button twice one deed."""
    return secrets.token_urlsafe(16)


USED = _(
    "This form was sent before with something else in it, and nothing was done now. Look at what came of it; "
    "if this is to be done too, send it once more."
)


def renew(form: forms.BaseForm) -> None:
    """Give a form that was refused a key of its own: sent once more, it is another deed."""
    sent: Any = form.data
    data = sent.copy()
    data[form.add_prefix("press")] = new_key()
    form.data = data


class PressForm(forms.Form):
    """A form with the key of one pressing: sent twice, it is one deed."""

    press = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["press"].initial = new_key
