"""Forms of the manager's money pages."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from shop.jobs.models import Job
from shop.jobs.press import PressForm

from .models import Payment
from .statements.entries import MAX_BYTES

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


class StatementForm(forms.Form):
    """A statement to read."""

    file = forms.FileField(
        label="Statement",
        help_text="camt.053 (XML) or CSV, as your bank gives it. The same file twice does no harm.",
        widget=forms.ClearableFileInput(attrs={"accept": ".xml,.csv,.txt"}),
    )

    def clean_file(self) -> Any:
        """Refuse what no statement is as large as."""
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise forms.ValidationError(f"The file is larger than {MAX_BYTES // 1_000_000} MB.")
        return file


class MatchForm(forms.Form):
    """Which job an unmatched movement is for."""

    job = forms.CharField(label="Job number", max_length=20)

    def clean_job(self) -> Job:
        """Return the job of that number."""
        number = self.cleaned_data["job"].strip().upper()
        job = Job.objects.filter(number=number).first()
        if job is None:
            raise forms.ValidationError(f"There is no job {number}.")
        return job


class AsideForm(forms.Form):
    """Why a movement has nothing to do with deposits."""

    note = forms.CharField(label="What it is", required=False, max_length=200)
