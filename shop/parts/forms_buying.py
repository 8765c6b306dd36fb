"""The form of an order put together by hand: a supplier and as many lines as are needed."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.core.validators import MinLengthValidator
from django.utils.translation import gettext_lazy as _

from configurator.catalogue.models import Supplier
from shop.jobs.press import PressForm

from .buying import Typed
from .forms import price_field, quantity_input

LINES, MOST_LINES = 4, 60


class HandOrderForm(PressForm):
    """From whom, with what note; the lines are forms of their own."""

    supplier = forms.ModelChoiceField(
        Supplier.objects.order_by("name"), label=_("Supplier"), to_field_name="code"
    )
    note = forms.CharField(
        label=_("Note to the supplier"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class HandLineForm(forms.Form):
    """One line: empty ones are left out."""

    item = forms.CharField(
        label=_("Part"),
        required=False,
        max_length=160,
        validators=[MinLengthValidator(2)],
        widget=forms.TextInput(attrs={"list": "known-items", "autocomplete": "off"}),
    )
    quantity = forms.DecimalField(
        label=_("Quantity"),
        required=False,
        min_value=Decimal("0.001"),
        max_digits=12,
        decimal_places=3,
        widget=quantity_input(),
    )
    price = price_field(label=_("Price each, net"), required=False)
    reference = forms.CharField(label=_("Their number for it"), required=False, max_length=60)

    def clean(self) -> dict[str, Any]:
        """Ask for the half that is missing of a line that was begun."""
        told: dict[str, Any] = super().clean() or {}
        begun = any(told.get(name) not in (None, "") for name in ("quantity", "price", "reference"))
        if begun and not told.get("item") and "item" not in self.errors:
            self.add_error("item", _("Say which part."))
        if told.get("item") and told.get("quantity") is None and "quantity" not in self.errors:
            self.add_error("quantity", _("Say how much."))
        return told

    def typed(self) -> Typed | None:
        """Return the line, or nothing when it was left empty."""
        told = self.cleaned_data
        if not told.get("item"):
            return None
        return Typed(told["item"], told["quantity"], told["price"], told["reference"])


def line_forms(data: Any, count: int) -> list[HandLineForm]:
    """Return ``count`` lines, to judge what was sent."""
    return [HandLineForm(data, prefix=f"line{n}") for n in range(max(1, min(count, MOST_LINES)))]


def filled_lines(typed: Mapping[str, Any], count: int) -> list[HandLineForm]:
    """Return ``count`` lines that show what was typed and judge nothing yet."""
    return [
        HandLineForm(
            prefix=f"line{n}",
            initial={name: typed.get(f"line{n}-{name}", "") for name in HandLineForm.base_fields},
        )
        for n in range(max(1, min(count, MOST_LINES)))
    ]
