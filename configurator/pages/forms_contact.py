"""Who sends the build: contact, vehicle papers, notes and consent."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Field, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from configurator.builds.plain_names import without_links
from configurator.builds.sending import Contact

from .forms_fields import section
from .forms_typed import LongTextField, PhoneField, one_line_end

KEPT = ("name", "email", "phone", "registration", "vin", "notes")
LONGEST = {"notes": 4000}


KEEP = "keep_contact"
TEXTS_CHANGED = _(
    "Our terms or our privacy notice have changed since you opened this page. What stands here now is the "
    "new text: please read it and tick this again."
)


class ContactForm(forms.Form):
    """Checked when the build is sent; until then it is kept only where the customer ticks that."""

    name = forms.CharField(
        label=_("Your name"), max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    email = forms.EmailField(
        label=_("E-mail"),
        help_text=_("Your private link goes there."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    phone = PhoneField(label=_("Telephone"), required=False)
    registration = forms.CharField(label=_("Registration"), required=False, max_length=20)
    vin = forms.CharField(
        label=_("Vehicle identification number (VIN)"),
        required=False,
        max_length=40,
        help_text=_("17 characters, in the papers and behind the windscreen. One of the two helps us most."),
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "spellcheck": "false"}),
    )
    notes = LongTextField(label=_("Anything we should know"), required=False, max_length=LONGEST["notes"])
    keep_contact = forms.BooleanField(
        label=_("Keep what I typed here with this build"),
        required=False,
        help_text=_(
            "So that it stands here when you come back. Otherwise it reaches us only when you send; without "
            "the tick, what was kept is deleted with your next change."
        ),
    )

    @property
    def helper(self) -> FormHelper:
        """Return how crispy draws it, inside the page's one form."""
        return section(Row("name", "email"), Row("phone", "registration"), "vin", vin_note(), "notes", KEEP)

    def clean_name(self) -> str:
        """Return the name without web addresses, since mails begin with it."""
        name = without_links(self.cleaned_data["name"])[:120]
        if not name:
            raise forms.ValidationError(_("Write your name; a web address is none."))
        return name

    def contact(self) -> Contact:
        """Return the cleaned contact."""
        return Contact(**{name: self.cleaned_data[name] for name in KEPT})


class ConsentForm(forms.Form):
    """Consent to the workshop's texts, by the versions that were shown.

    ``versions`` are today's, ``terms_version`` and ``privacy_version``; the page carries those it shows.
    """

    consent = forms.BooleanField(
        label=_("I have read this and agree that the workshop keeps and checks what I send."),
        error_messages={"required": _("Please tick this, so that we may look at your build.")},
    )

    def __init__(self, data: Mapping[str, Any] | None = None, *, versions: Mapping[str, str]) -> None:
        self.versions = versions
        self.changed = data is not None and any(data.get(name, "") != now for name, now in versions.items())
        super().__init__({} if self.changed else data)

    @property
    def helper(self) -> FormHelper:
        """Return how crispy draws it."""
        return section(Field("consent"))

    def clean(self) -> dict[str, Any]:
        """Refuse consent to texts that have changed since they were shown; the new ones are ticked anew."""
        data = super().clean() or self.cleaned_data
        if self.changed:
            del self.errors["consent"]
            self.add_error("consent", TEXTS_CHANGED)
        return data


def vin_note() -> Any:
    """Return the place where a warning about the VIN appears."""
    return HTML('<div id="live-vin" class="live">{% include "configurator/live/vin.html" %}</div>')


def to_keep(data: Any) -> dict[str, str]:
    """Return what is stored of what was typed before it is sent: nothing, unless that was ticked."""
    return typed(data) if data.get(KEEP) else {}


def typed(data: Any) -> dict[str, str]:
    """Return what was typed so far, shortened to what could ever be valid."""
    said = {name: one_line_end(str(data.get(name, ""))) for name in KEPT}
    return {name: text[: LONGEST.get(name, 200)].replace("\x00", "") for name, text in said.items()}


def stands(kept: Mapping[str, str], data: Any) -> dict[str, Any]:
    """Return what stands in the contact's fields: what was typed just now, or what is kept."""
    return {**kept, KEEP: bool(kept)} if data is None else {**typed(data), KEEP: KEEP in data}
