"""Which other build to lay beside this one."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _


class CompareForm(forms.Form):
    """The other build, by its link."""

    other = forms.CharField(
        label=_("Link of the other build"),
        max_length=300,
        help_text=_("Its private address or the one for showing it to others."),
        error_messages={"required": _("Paste the link of the other build.")},
    )
