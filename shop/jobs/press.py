"""One pressing of a button: its key makes sending a form twice one deed."""

from __future__ import annotations

import secrets
from typing import Any

from django import forms


def new_key() -> str:
    """Return a key that makes pressing a button twice one deed."""
    return secrets.token_urlsafe(16)


class PressForm(forms.Form):
    """A form with the key of one pressing: sent twice, it is one deed."""

    press = forms.CharField(max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["press"].initial = new_key
