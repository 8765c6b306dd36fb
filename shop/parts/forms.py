"""Forms of the buyer's pages."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.jobs.press import PressForm

from .correspondence import OrderAnswer
from .models import PurchaseLine, PurchaseOrder


def quantity_input() -> forms.NumberInput:
    """Return a control that brings up the number keys on a phone."""
    return forms.NumberInput(attrs={"step": "any", "inputmode": "decimal", "min": "0"})


class PlaceForm(PressForm):
    """Order everything that is short from one supplier."""

    supplier = forms.CharField(max_length=60, widget=forms.HiddenInput)
    note = forms.CharField(
        label=_("Note to the supplier"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class ReceiveForm(PressForm):
    """What came in on an order, line by line."""

    delivery_note = forms.CharField(label=_("Delivery note number"), required=False, max_length=60)

    def __init__(self, order: PurchaseOrder, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = [line for line in order.lines.all() if line.open > 0]
        for line in self.lines:
            unit = "" if line.unit == "each" else f" {line.unit}"
            self.fields[f"line-{line.pk}"] = forms.DecimalField(
                label=f"{line.position}. {line.name}",
                help_text=f"{line.open.normalize():f}{unit} open. {line.supplier_ref}".strip(),
                required=False,
                min_value=Decimal(0),
                max_digits=12,
                decimal_places=3,
                widget=quantity_input(),
            )

    def line_fields(self) -> list[forms.BoundField]:
        """Return the fields of the lines, for the page to lay out."""
        return [self[f"line-{line.pk}"] for line in self.lines]

    def quantities(self) -> dict[int, Decimal]:
        """Return what came, by primary key of the line."""
        return {
            line.pk: self.cleaned_data[f"line-{line.pk}"]
            for line in self.lines
            if self.cleaned_data.get(f"line-{line.pk}")
        }

    def everything(self) -> dict[int, Decimal]:
        """Return all that is open, for the button that books it in one go."""
        return {line.pk: line.open for line in self.lines}


class LineField(forms.ModelChoiceField):
    """One line of an order."""

    def label_from_instance(self, obj: PurchaseLine) -> str:
        """Return position and name."""
        return f"{obj.position}. {obj.name}"


class NotComingForm(forms.Form):
    """Why the rest of a line is not expected."""

    line = forms.Field()  # put in place for one order's open lines
    why = forms.CharField(label="Why", max_length=200)

    def __init__(self, order: PurchaseOrder, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = [line.pk for line in order.lines.all() if line.open > 0]
        # One open line can only mean that one; among several a person chooses.
        only = rows[0] if len(rows) == 1 else None
        self.fields["line"] = LineField(order.lines.filter(pk__in=rows), label="Line", initial=only)


class AnswerForm(PressForm):
    """What a supplier said of an order."""

    said = forms.ChoiceField(label=_("The supplier"), choices=OrderAnswer.Said.choices)
    line = forms.Field()  # put in place for one order
    day = forms.DateField(
        label=_("To come on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("The day that was told, if one was."),
    )
    note = forms.CharField(label=_("In their words"), required=False, max_length=300)

    def __init__(self, order: PurchaseOrder, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lines = order.lines.all()
        self.fields["line"] = LineField(
            lines, label=_("Of"), required=False, empty_label=_("the whole order")
        )


class FindStockForm(forms.Form):
    """Find things on the shelves."""

    q = forms.CharField(label=_("Part, item code or shelf"), required=False, max_length=100)


class CountForm(forms.Form):
    """What was counted on the shelf."""

    sku = forms.CharField(max_length=160, widget=forms.HiddenInput)
    quantity = forms.DecimalField(
        label="Counted", min_value=Decimal(0), max_digits=12, decimal_places=3, widget=quantity_input()
    )
    shelf = forms.CharField(label="Shelf", required=False, max_length=40)
    note = forms.CharField(label="Note", required=False, max_length=200)
