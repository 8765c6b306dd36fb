"""Forms of requests: the customer's note, their further words, and what staff write."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Row
from django import forms
from django.utils.translation import gettext_lazy as _

from configurator.builds.plain_names import without_links
from configurator.catalogue import snapshot
from configurator.pages.forms_fields import section
from configurator.pages.forms_typed import PhoneField
from shop.jobs.press import PressForm
from shop.tracking.forms import TEXT_MAX

from .service import Asked
from .words import consent

OWN = ("maker", "model", "year", "wish", "name", "email", "phone")


class AskForm(PressForm):
    """A vehicle in the customer's own words, what is to be done to it, and how they are reached."""

    maker = forms.CharField(label=_("Make"), max_length=80, help_text=_("As you call it."))
    model = forms.CharField(
        label=_("Model"), max_length=80, help_text=_("With what tells it from others, if you know.")
    )
    year = forms.CharField(
        label=_("Year"), max_length=40, required=False, help_text=_("Of first registration, roughly will do.")
    )
    wish = forms.CharField(
        label=_("What do you have in mind?"),
        max_length=TEXT_MAX,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text=_("Wheels, colour, panels: in your own words."),
    )
    name = forms.CharField(
        label=_("Your name"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    email = forms.EmailField(
        label=_("E-mail"),
        required=False,
        help_text=_("Our answer and your private link go there."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    phone = PhoneField(label=_("Telephone"), required=False, help_text=_("One of the two is enough."))
    consent = forms.BooleanField(
        label="", error_messages={"required": _("Please tick this, so that we may answer you.")}
    )
    answers = {"required": _("Tell us this, in a word or two.")}

    def __init__(self, *args: Any, by_staff: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("maker", "model", "wish", "name"):
            self.fields[name].error_messages = {**self.fields[name].error_messages, **self.answers}
        agreed = self.fields["consent"]
        agreed.label = _("They agree that we keep this to answer them.") if by_staff else consent()
        if by_staff:
            agreed.error_messages = {"required": _("Ask them first, then tick this.")}

    def vehicle_part(self) -> Any:
        """Return how crispy draws the vehicle."""
        return section(Row("maker", "model", "year"), "wish")

    def person_part(self) -> Any:
        """Return how crispy draws who asks."""
        return section("name", Row("email", "phone"))

    def consent_part(self) -> Any:
        """Return how crispy draws the consent and the key of the pressing."""
        return section("consent", "press")

    def clean_maker(self) -> str:
        """Return the make without web addresses, since mails repeat it."""
        return self._plain("maker")

    def clean_model(self) -> str:
        """Return the model without web addresses."""
        return self._plain("model")

    def clean_year(self) -> str:
        """Return the year without web addresses."""
        return without_links(self.cleaned_data["year"])[:40]

    def clean_name(self) -> str:
        """Return the name without web addresses."""
        return self._plain("name")

    def _plain(self, name: str) -> str:
        longest: Any = self.fields[name]
        text = without_links(self.cleaned_data[name])[: longest.max_length]
        if not text:
            raise forms.ValidationError(_("Write it in words; a web address is none."))
        return text

    def clean(self) -> dict[str, Any]:
        """One way to be reached is needed."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        wrong = {"email", "phone"} & set(self.errors)
        if not wrong and not data.get("email") and not data.get("phone"):
            self.add_error("email", _("Give a mail address or a telephone number, or we cannot answer."))
        return data

    def asked(self) -> Asked:
        """Return what is asked for."""
        return Asked(**{name: self.cleaned_data[name] for name in OWN})


class WordForm(PressForm):
    """A further word of the customer's."""

    text = forms.CharField(
        label=_("A word to us"),
        max_length=TEXT_MAX,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4, "maxlength": TEXT_MAX}),
    )
    helper = section("text", "press")


class WithdrawForm(forms.Form):
    """Withdrawing the request."""

    sure = forms.BooleanField(
        label=_("Yes, withdraw the request"), error_messages={"required": _("Tick this to withdraw it.")}
    )
    helper = section("sure")


class DeedForm(PressForm):
    """What staff write with one deed, and up to which entry they had read."""

    text = forms.CharField(
        max_length=TEXT_MAX,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "maxlength": TEXT_MAX}),
    )
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    helper = section("text", "seen", "press")

    def __init__(
        self, *args: Any, label: Any = "", help_text: Any = "", missing: Any = "", **kwargs: Any
    ) -> None:
        """``missing`` is what is told where these words are needed and are not there."""
        super().__init__(*args, **kwargs)
        text = self.fields["text"]
        text.label, text.help_text, text.required = label, help_text, bool(missing)
        text.error_messages = {**text.error_messages, "required": missing}


class VehicleForm(forms.Form):
    """Which vehicle of the catalogue answers a request."""

    generation = forms.ChoiceField(label=_("Vehicle of the catalogue"))
    helper = section("generation")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = sorted((str(row), code) for code, row in snapshot.current().generations.items())
        choices = [("", _("Choose"))] + [(code, name) for name, code in rows]
        self.fields["generation"].choices = choices  # type: ignore[attr-defined]
