"""Forms of jobs entered by hand, their free lines, and changes proposed to the customer."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from configurator.builds.vin import LENGTH, check_vin
from configurator.catalogue import snapshot
from configurator.pages.forms_typed import PhoneField
from configurator.pages.told import told

from . import photos
from .models_lines import Entry, JobLine
from .press import PressForm

HOURS_MAX, PRICE_MAX, LINES_MAX = 200, Decimal(999_999), 12
PLACES = [("bay", _("bay")), ("lift", _("lift")), ("booth", _("booth"))]


class LineForm(forms.Form):
    """One free line; a row left empty is none.

    A browser sends what its lists stand at: they begin at their first choice, so that such a row is empty.
    """

    label = forms.CharField(label=_("What is done or charged"), max_length=160)
    kind = forms.ChoiceField(label=_("Kind"), choices=JobLine.Kind.choices, initial=JobLine.Kind.values[0])
    hands_on_h = forms.FloatField(
        label=_("Hours of work"), required=False, min_value=0, max_value=HOURS_MAX,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )  # fmt: skip
    wait_h = forms.FloatField(
        label=_("Then dries or cures, hours"), required=False, min_value=0, max_value=HOURS_MAX,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )  # fmt: skip
    resource = forms.ChoiceField(label=_("Place"), choices=PLACES, initial=PLACES[0][0])
    amount = forms.DecimalField(
        label=_("Price, tax included"), required=False, min_value=0, max_value=PRICE_MAX, decimal_places=2,
        help_text=_("Empty: the hours at the workshop's rate."),
    )  # fmt: skip
    wheels = forms.ChoiceField(
        label=_("Wheels come off"), required=False,
        choices=[("", _("no")), ("front", _("front")), ("rear", _("rear")), ("both", _("front and rear"))],
    )  # fmt: skip
    torque_nm = forms.FloatField(
        label=_("Torque, N m"), required=False, min_value=5, max_value=800,
        help_text=_("The vehicle maker's figure; empty where the catalogue has it."),
    )  # fmt: skip
    fasteners = forms.IntegerField(label=_("Fasteners an axle"), required=False, min_value=1, max_value=40)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False

    def clean(self) -> dict[str, Any]:
        """Refuse a line that neither takes time nor costs anything."""
        data = super().clean() or {}
        if not self.errors and data.get("amount") is None and not data.get("hands_on_h"):
            self.add_error("hands_on_h", _("Enter hours, a price, or both; 0 where it costs nothing."))
        return data


class BaseLines(forms.BaseFormSet):
    """Rows of free lines; ``rows`` are those that were filled in."""

    def rows(self) -> list[dict[str, Any]]:
        """Return the cleaned data of every row that was filled in."""
        return [form.cleaned_data for form in self.forms if form.has_changed() and form.cleaned_data]

    def get_form_kwargs(self, index: Any) -> dict[str, Any]:
        """A row nobody touched is no mistake."""
        return {**super().get_form_kwargs(index), "use_required_attribute": False}


LineFormSet: Any = forms.formset_factory(
    LineForm, formset=BaseLines, extra=3, max_num=LINES_MAX, absolute_max=40
)


class EntryForm(PressForm):
    """A job that comes in at the desk or by telephone: as much as is known of it."""

    name = forms.CharField(label=_("Customer"), max_length=120)
    phone = PhoneField(label=_("Telephone"), required=False)
    email = forms.EmailField(
        label=_("E-mail"), required=False, help_text=_("Without it the customer is told by telephone.")
    )
    language = forms.ChoiceField(label=_("Language of mails and papers"), choices=settings.LANGUAGES)
    generation = forms.ChoiceField(label=_("Vehicle of the catalogue"), required=False)
    vehicle = forms.CharField(
        label=_("Or any other vehicle"), required=False, max_length=120,
        help_text=_("Maker, model, year, as you would tell a colleague."),
    )  # fmt: skip
    registration = forms.CharField(label=_("Registration"), required=False, max_length=20)
    vin = forms.CharField(label=_("VIN"), required=False, max_length=40)
    notes = forms.CharField(
        label=_("What the customer said"), required=False, max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    deposit = forms.DecimalField(
        label=_("Deposit"), required=False, min_value=0, max_value=PRICE_MAX, decimal_places=2,
        help_text=_("Empty: by the workshop's policy. 0: nothing in advance."),
    )  # fmt: skip
    customer_asked = forms.BooleanField(
        label=_("The customer has said yes to these lines at this price"), required=False
    )
    tell = forms.BooleanField(label=_("Mail the customer the link to the job"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = snapshot.current().generations.values()
        field: Any = self.fields["generation"]
        field.choices = [("", _("none of these")), *((each.code, str(each)) for each in known)]

    def clean_vin(self) -> str:
        """Return the number as ISO 3779 writes it, without blanks."""
        text = self.cleaned_data["vin"].strip()
        result = check_vin(text) if text else None
        if result and len(result.vin) > LENGTH:
            raise forms.ValidationError(told(result.warning))
        return result.vin if result else ""

    def clean(self) -> dict[str, Any]:
        """Ask for a vehicle, one way or the other."""
        data = super().clean() or {}
        if not data.get("generation") and not data.get("vehicle") and "vehicle" not in self.errors:
            self.add_error("vehicle", _("Say which vehicle it is."))
        return data


class FollowForm(PressForm):
    """A visit after the handover that points back to the first job."""

    kind = forms.ChoiceField(
        label=_("What it is"),
        choices=[each for each in Entry.Kind.choices if each[0] != Entry.Kind.BY_HAND],
    )
    notes = forms.CharField(
        label=_("What the customer says is wrong"), max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    tell = forms.BooleanField(label=_("Mail the customer the link to the visit"), required=False)


class ProposeForm(PressForm):
    """Why a change is proposed, what goes, a photo, and how the customer is asked."""

    why = forms.CharField(
        label=_("What was found, and why it should be done"),
        max_length=2000,
        help_text=_("The customer reads this beside the price."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    drop = forms.MultipleChoiceField(
        label=_("Take off the job"), required=False, widget=forms.CheckboxSelectMultiple
    )
    photo = forms.FileField(label=_("Photo"), required=False)
    tell = forms.BooleanField(
        label=_("Ask the customer by mail"), required=False, initial=True,
        help_text=_("Without it you ask by telephone and record the answer here."),
    )  # fmt: skip
    version = forms.IntegerField(
        required=False, min_value=1, max_value=2_000_000_000, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, lines: list[JobLine] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photo"].widget.attrs |= {"accept": "image/*"}
        field: Any = self.fields["drop"]
        field.choices = [(str(line.number), line.label) for line in lines or []]
        if not lines:
            del self.fields["drop"]

    def dropped(self) -> tuple[int, ...]:
        """Return the numbers of the lines that go."""
        return tuple(int(number) for number in self.cleaned_data.get("drop", []))

    def photo_bytes(self) -> bytes:
        """Return what was sent as a photo; nothing without one."""
        return photos.sent(self.cleaned_data.get("photo"))


class SaidForm(forms.Form):
    """The customer's answer to a change, given by telephone."""

    answer = forms.ChoiceField(choices=[("yes", ""), ("no", "")], widget=forms.HiddenInput)
    said_by = forms.CharField(label=_("Who gave the answer"), max_length=120)
    words = forms.CharField(label=_("What was said"), required=False, max_length=1000)


class WithdrawForm(forms.Form):
    """Why a proposal is taken back."""

    why = forms.CharField(label=_("Why it is taken back"), max_length=1000)
