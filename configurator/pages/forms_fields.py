"""Fields of the build form and how sections of them are drawn: shapes of codes, never prices or labels."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from . import forms_cards as cards

CODE = RegexValidator(r"^[a-z0-9][a-z0-9.+-]{0,59}$", _("We do not know this choice. Choose from the list."))
HEX = RegexValidator(r"^#[0-9a-fA-F]{6}$", _("Write a colour as # and six digits, such as #2f6f8f."))


class CodeField(forms.CharField):
    """One code, or nothing; ``choices`` are only what the page lists."""

    widget: Any = forms.RadioSelect

    def __init__(self, *, choices: cards.Choices | None = None, **kwargs: Any) -> None:
        super().__init__(required=False, validators=[CODE], **kwargs)
        self.widget.choices = list(choices or [])


class CodesField(forms.Field):
    """Any number of codes."""

    widget: Any = forms.CheckboxSelectMultiple

    def __init__(self, *, choices: cards.Choices, **kwargs: Any) -> None:
        super().__init__(required=False, **kwargs)
        self.widget.choices = list(choices)

    def clean(self, value: Any) -> list[str]:
        """Return the codes, each of the right shape."""
        found = [str(code) for code in value or []]
        if len(found) > 200:
            raise forms.ValidationError(_("That is more than there is to choose from."))
        for code in found:
            CODE(code)
        return found


def section(*fields: Any) -> FormHelper:
    """Return a crispy helper that draws some fields inside the page's one form."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    helper.show_summary = False
    helper.layout = Layout(*fields)
    return helper
