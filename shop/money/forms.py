"""Forms of the manager's money pages."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from stdnum.eu import vat as vat_number
from stdnum.exceptions import ValidationError

from shop.jobs.press import PressForm

from .countries import COUNTRIES
from .models import BillingAddress, Payment

DAY = {"type": "date"}


def amount_field(label: Any, **options: Any) -> forms.DecimalField:
    """Return a field for an amount above nothing, to the cent."""
    return forms.DecimalField(
        label=label,
        min_value=options.pop("min_value", Decimal("0.01")),
        max_digits=12,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "0.01", "inputmode": "decimal"}),
        **options,
    )


def today() -> str:
    """Return today for a date control."""
    return timezone.localdate().isoformat()


class PaymentForm(PressForm):
    """Money that came in at the desk, or that a person books by hand."""

    amount = amount_field(_("Amount"))
    received_on = forms.DateField(label=_("Came in on"), initial=today, widget=forms.DateInput(attrs=DAY))
    method = forms.ChoiceField(label=_("How"), choices=Payment.Method.choices, initial=Payment.Method.CARD)
    note = forms.CharField(label=_("Note"), required=False, max_length=200)


class UndoForm(forms.Form):
    """Why a payment is undone, and whether the bank took it back."""

    note = forms.CharField(label=_("Why is it undone?"), max_length=200)
    bounced = forms.BooleanField(label=_("The bank took it back"), required=False)
    tell = forms.BooleanField(label=_("Tell the customer by mail"), required=False)


class RefundForm(PressForm):
    """What goes back, and why."""

    amount = amount_field(_("Goes back"))
    why = forms.CharField(
        label=_("Why, as the customer reads it"), max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )


class OwedForm(PressForm):
    """What the customer owes for a job that was called off, and why."""

    owed = amount_field(_("The customer owes"), min_value=Decimal(0))
    why = forms.CharField(
        label=_("What for, as the customer reads it"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class ReductionForm(PressForm):
    """What is taken off the price, and why."""

    amount = amount_field(_("Off the price, tax included"))
    why = forms.CharField(label=_("Why, as the customer reads it"), max_length=200)


class AddressForm(forms.ModelForm):
    """The postal address that an invoice goes to."""

    country = forms.ChoiceField(label=_("Country"), choices=COUNTRIES)

    class Meta:
        model = BillingAddress
        fields = ("name", "extra", "street", "postcode", "town", "country", "vat_id")
        labels = {
            "name": _("Name"),
            "extra": _("Company, department or care of"),
            "street": _("Street and number"),
            "postcode": _("Postcode"),
            "town": _("Town"),
            "vat_id": _("VAT number, if you have one"),
        }
        help_texts = {"extra": "", "vat_id": ""}

    AUTOCOMPLETE = {
        "name": "name",
        "extra": "organization",
        "street": "address-line1",
        "postcode": "postal-code",
        "town": "address-level2",
        "country": "country",
        "vat_id": "off",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, what in self.AUTOCOMPLETE.items():
            self.fields[name].widget.attrs["autocomplete"] = what

    def clean_vat_id(self) -> str:
        """Return a VAT number that its country's own check digits agree with."""
        number = str(self.cleaned_data["vat_id"])
        if not number.strip():
            return ""
        try:
            return str(vat_number.validate(number))
        except ValidationError as error:
            raise forms.ValidationError(_("That is not a valid VAT number.")) from error


class CreditForm(PressForm):
    """Why an invoice is taken back."""

    why = forms.CharField(label=_("Why, as the customer reads it"), max_length=500)


class ExportForm(forms.Form):
    """The days whose postings are exported."""

    start = forms.DateField(label=_("From"), widget=forms.DateInput(attrs=DAY))
    end = forms.DateField(label=_("To"), widget=forms.DateInput(attrs=DAY))

    def clean(self) -> dict[str, Any]:
        """Refuse days in the wrong order."""
        data = super().clean() or {}
        if data.get("start") and data.get("end") and data["start"] > data["end"]:
            self.add_error("end", _("The last day is before the first."))
        return data


class WithdrawForm(forms.Form):
    """Why a refund is taken back before it is paid out."""

    why = forms.CharField(label=_("Why is it withdrawn?"), max_length=200)


class PaidOutForm(forms.Form):
    """The day a refund left the account."""

    paid_on = forms.DateField(label=_("Paid out on"), initial=today, widget=forms.DateInput(attrs=DAY))
