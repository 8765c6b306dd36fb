"""Forms of the manager's money pages."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from shop.jobs.press import PressForm

from .models import Payment

DAY = {"type": "date"}


def amount_field(label: str, **options: Any) -> forms.DecimalField:
    """Return a field for an amount above nothing, to the cent."""
    return forms.DecimalField(
        label=label,
        min_value=Decimal("0.01"),
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

    amount = amount_field("Amount")
    received_on = forms.DateField(label="Came in on", initial=today, widget=forms.DateInput(attrs=DAY))
    method = forms.ChoiceField(label="How", choices=Payment.Method.choices, initial=Payment.Method.CARD)
    note = forms.CharField(label="Note", required=False, max_length=200)


class RefundForm(PressForm):
    """What goes back, and why."""

    amount = amount_field("Goes back")
    why = forms.CharField(label="Why", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))


class PaidOutForm(forms.Form):
    """The day a refund left the account."""

    paid_on = forms.DateField(label="Paid out on", initial=today, widget=forms.DateInput(attrs=DAY))
