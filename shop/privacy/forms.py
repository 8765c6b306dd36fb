"""Forms of the manager's page of what is kept about a customer."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _


class FindForm(forms.Form):
    """Whose data are looked for."""

    email = forms.EmailField(label=_("The customer's mail address"))


class ForgetForm(forms.Form):
    """Why, and the mail address once more, so that nobody is forgotten by a slip."""

    email = forms.CharField(widget=forms.HiddenInput)
    again = forms.EmailField(label=_("Type the mail address again"))
    why = forms.CharField(label=_("Why"), max_length=200)

    def clean(self) -> None:
        """Compare the two."""
        typed = self.cleaned_data.get("again", "")
        if typed and typed.lower() != self.cleaned_data.get("email", "").lower():
            self.add_error("again", _("That is another address."))
