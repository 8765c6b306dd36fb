"""Forms of what staff do by hand for a customer."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from configurator.builds.vin import LENGTH, check_vin
from configurator.models import SpecRevision
from configurator.pages.forms_typed import PhoneField
from configurator.pages.told import told

from .press import PressForm

VERSION_MAX = 2_000_000_000


class NoteForm(PressForm):
    """A note of a call, or for colleagues alone."""

    kind = forms.ChoiceField(
        label=_("Kind"), choices=[("call", _("telephone call")), ("inner", _("note for colleagues"))]
    )
    spoken_with = forms.CharField(label=_("Spoken with"), required=False, max_length=120)
    text = forms.CharField(
        label=_("What was said or is to be known"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("Stays in the workshop: the customer never sees it."),
    )


class TelephoneYesForm(forms.Form):
    """The customer's yes to the revision on the page, given by telephone."""

    said_by = forms.CharField(label=_("Who said yes"), max_length=120)
    why = forms.CharField(
        label=_("What was read out and agreed to"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    version = forms.IntegerField(required=False, min_value=1, max_value=VERSION_MAX, widget=forms.HiddenInput)
    revision = forms.IntegerField(min_value=1, max_value=2**62, widget=forms.HiddenInput)


class CorrectForm(forms.Form):
    """How the customer is called and reached, and what the vehicle is known by."""

    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(label=_("Mail"), max_length=254)
    address_was_wrong = forms.BooleanField(
        label=_("The old mail address was wrong"),
        required=False,
        help_text=_(
            "What was sent there is sent to the right address, with a new private link; "
            "the old link stops working."
        ),
    )
    phone = PhoneField(label=_("Telephone"), required=False)
    registration = forms.CharField(label=_("Registration"), required=False, max_length=20)
    vin = forms.CharField(label=_("VIN"), required=False, max_length=40)
    why = forms.CharField(label=_("How do you know?"), max_length=300)
    version = forms.IntegerField(required=False, min_value=1, max_value=VERSION_MAX, widget=forms.HiddenInput)

    @classmethod
    def of(cls, revision: SpecRevision, version: int, prefix: str) -> CorrectForm:
        """Return the form as the revision has it."""
        names = ("name", "email", "phone", "registration", "vin")
        initial = {name: getattr(revision, name) for name in names}
        return cls(initial=initial | {"version": version}, prefix=prefix)

    def clean_vin(self) -> str:
        """Return the number as ISO 3779 writes it, without blanks."""
        text = self.cleaned_data["vin"].strip()
        if not text:
            return ""
        result = check_vin(text)
        if len(result.vin) > LENGTH:
            raise forms.ValidationError(told(result.warning))
        return result.vin
