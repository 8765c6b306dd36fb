"""Forms of what is shown to visitors: its words in every language."""

from __future__ import annotations

from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.functional import Promise
from django.utils.translation import get_language_info
from django.utils.translation import gettext_lazy as _

from .languages import other_languages, own_language
from .models import ShowingConsent


def language_name(code: str) -> str:
    """Return what a language calls itself."""
    return str(get_language_info(code)["name_local"])


class WordsForm(forms.Form):
    """A short text and a longer one, in the workshop's language and in each other one.

    ``short`` and ``long`` are name and label of the two; a field of another language is named after it, as
    ``de-title``. Only the short text in the workshop's own language must be given.
    """

    short: ClassVar[tuple[str, str | Promise, int]]
    long: ClassVar[tuple[str, str | Promise, int]]
    rows: ClassVar[int] = 2

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for language in (own_language(), *other_languages()):
            self._add(language)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True

    def _add(self, language: str) -> None:
        own = language == own_language()
        prefix = "" if own else f"{language}-"
        name, label, most = self.short
        self.fields[prefix + name] = forms.CharField(
            label=f"{label} ({language_name(language)})", max_length=most, required=own
        )
        name, label, most = self.long
        self.fields[prefix + name] = forms.CharField(
            label=f"{label} ({language_name(language)})",
            max_length=most,
            required=False,
            widget=forms.Textarea(attrs={"rows": self.rows}),
        )
        for one in (self.fields[prefix + self.short[0]], self.fields[prefix + self.long[0]]):
            one.widget.attrs["lang"] = language

    def said(self) -> dict[str, dict[str, str]]:
        """Return what was typed, by language and field; languages left empty are left out."""
        found = {}
        for language in (own_language(), *other_languages()):
            prefix = "" if language == own_language() else f"{language}-"
            words = {name: self.cleaned_data.get(prefix + name, "") for name in (self.short[0], self.long[0])}
            if any(words.values()):
                found[language] = words
        return found

    @classmethod
    def as_initial(cls, said: Any) -> dict[str, str]:
        """Return stored words, by language and field, as the form's first values."""
        return {
            ("" if language == own_language() else f"{language}-") + name: text
            for language, words in said.items()
            for name, text in words.items()
        }


class LookForm(WordsForm):
    """A look's name and what is said of it."""

    short = ("name", _("Name of the look"), 120)
    long = ("summary", _("What it is, in a sentence"), 240)
    seen = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)


class FinishedForm(WordsForm):
    """Title and short text of a finished build."""

    short = ("title", _("Title"), 80)
    long = ("text", _("A few sentences about it"), 600)
    rows = 3


class ConsentForm(forms.Form):
    """What a customer said to being shown, told to staff."""

    answer = forms.ChoiceField(
        label=_("What the customer said"),
        choices=[
            ("given", _("agrees to be shown")),
            ("declined", _("does not agree")),
            ("withdrawn", _("takes the consent back")),
        ],
    )
    how = forms.ChoiceField(
        label=_("How"),
        choices=[(how.value, how.label) for how in ShowingConsent.How if how != ShowingConsent.How.PAGE],
    )
    note = forms.CharField(
        label=_("Who said it, and when"),
        help_text=_("Kept with the consent, such as: Ms Kröger, at the handover."),
        max_length=200,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
