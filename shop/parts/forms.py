"""Forms of the buyer's pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.jobs.press import PressForm, renew

from .correspondence import OrderAnswer
from .models import PurchaseLine, PurchaseOrder, Shortage
from .names import named
from .ordering import Need
from .placing import Chosen
from .quantities import plain
from .receiving import BACK, KEEP


def quantity_input() -> forms.NumberInput:
    """Return a control that brings up the number keys on a phone."""
    return forms.NumberInput(attrs={"step": "any", "inputmode": "decimal", "min": "0"})


def price_field(**options: Any) -> forms.DecimalField:
    """Return a net price a unit."""
    widget = forms.NumberInput(attrs={"step": "any", "inputmode": "decimal", "min": "0"})
    return forms.DecimalField(min_value=Decimal(0), max_digits=10, decimal_places=4, widget=widget, **options)


class PlaceForm(PressForm):
    """Order what is short from one supplier: each line's quantity and the price agreed.

    A post without any line's fields orders everything that is short.
    """

    supplier = forms.CharField(max_length=60, widget=forms.HiddenInput)
    note = forms.CharField(
        label=_("Note to the supplier"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, needs: Sequence[Need | Shortage] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.needs = needs
        for need in needs:
            key, name = need.part.pk, named(need.part.item, need.part.name)
            self.fields[f"quantity-{key}"] = forms.DecimalField(
                label=_("Order: %(part)s") % {"part": name},
                required=False,
                min_value=Decimal(0),
                max_digits=12,
                decimal_places=3,
                initial=plain(need.quantity),
                widget=quantity_input(),
            )
            self.fields[f"price-{key}"] = price_field(
                label=_("Price each: %(part)s") % {"part": name},
                required=False,
                initial=plain(need.part.unit_cost_net),
            )
            self.fields[f"seen-{key}"] = forms.DecimalField(
                required=False, initial=plain(need.quantity), widget=forms.HiddenInput
            )

    def rows(self) -> list[tuple[Need | Shortage, forms.BoundField, forms.BoundField, forms.BoundField]]:
        """Return each line with the fields of its quantity, price and what the page proposed."""
        return [
            (
                need,
                self[f"quantity-{need.part.pk}"],
                self[f"price-{need.part.pk}"],
                self[f"seen-{need.part.pk}"],
            )
            for need in self.needs
        ]

    def chosen(self) -> dict[str, Chosen] | None:
        """Return what was chosen by stock key, or nothing when no line was on the page that was sent."""
        if not any(str(name).startswith(f"{self.prefix}-quantity-") for name in self.data):
            return None
        told = self.cleaned_data
        found = {}
        for need in self.needs:
            key, cost = need.part.pk, told.get(f"price-{need.part.pk}")
            found[need.part.sku] = Chosen(
                quantity=told.get(f"quantity-{key}") or Decimal(0),
                unit_cost_net=need.part.unit_cost_net if cost is None else cost,
                seen=told.get(f"seen-{key}"),
            )
        return found

    def blame(self, lines: Mapping[str, str]) -> None:
        """Put what is wrong with a line beside its quantity."""
        for need in self.needs:
            if message := lines.get(need.part.sku):
                self.add_error(f"quantity-{need.part.pk}", message)


class ReceiveForm(PressForm):
    """What came in on an order, line by line."""

    surplus = forms.ChoiceField(
        label=_("If more came than was ordered"),
        required=False,
        choices=[
            ("", _("nothing came beyond the order")),
            (KEEP, _("keep the rest for stock")),
            (BACK, _("send the rest back")),
        ],
    )

    delivery_note = forms.CharField(label=_("Delivery note number"), required=False, max_length=60)

    def __init__(self, order: PurchaseOrder, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A line that was on the page stays, also when a colleague has booked all of it meanwhile.
        shown = {str(name) for name in self.data}
        self.lines = [line for line in order.lines.all() if line.open > 0 or f"seen-{line.pk}" in shown]
        for line in self.lines:
            self.fields[f"seen-{line.pk}"] = forms.DecimalField(
                required=False, initial=plain(line.open), widget=forms.HiddenInput
            )
            unit = "" if line.unit == "each" else f" {line.unit}"
            self.fields[f"line-{line.pk}"] = forms.DecimalField(
                label=f"{line.position}. {named(line.item, line.name)}",
                help_text=_("%(n)s open. %(reference)s")
                % {"n": f"{line.open.normalize():f}{unit}", "reference": line.supplier_ref},
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
        """Return all that the page showed as open, for the button that books it in one go."""
        seen = self.seen()
        return {line.pk: seen.get(line.pk, line.open) for line in self.lines}

    def seen(self) -> dict[int, Decimal]:
        """Return what the page that was sent showed as open, by primary key of the line."""
        told = {line.pk: self.cleaned_data.get(f"seen-{line.pk}") for line in self.lines}
        return {pk: quantity for pk, quantity in told.items() if quantity is not None}

    def look_again(self, order: PurchaseOrder) -> None:
        """Show what is open by now beside what was typed; sent once more, it is judged by that."""
        renew(self)
        data: Any = self.data
        for line in order.lines.all():
            if f"seen-{line.pk}" in self.fields:
                data[f"seen-{line.pk}"] = plain(line.open)

    def seen_fields(self) -> list[forms.BoundField]:
        """Return the hidden fields of what the page shows as open."""
        return [self[f"seen-{line.pk}"] for line in self.lines]


class LineField(forms.ModelChoiceField):
    """One line of an order."""

    def label_from_instance(self, obj: PurchaseLine) -> str:
        """Return position and name."""
        return f"{obj.position}. {named(obj.item, obj.name)}"


class NotComingForm(forms.Form):
    """Why the rest of a line is not expected."""

    line = forms.Field()  # put in place for one order's open lines
    why = forms.CharField(label=_("Why"), max_length=200)

    def __init__(self, order: PurchaseOrder, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = [line.pk for line in order.lines.all() if line.open > 0]
        # One open line can only mean that one; among several a person chooses.
        only = rows[0] if len(rows) == 1 else None
        self.fields["line"] = LineField(order.lines.filter(pk__in=rows), label=_("Line"), initial=only)


class SendForm(PressForm):
    """An order to be mailed; ``seen`` is how many mails of it the page shows."""

    seen = forms.IntegerField(required=False, min_value=0, max_value=10_000, widget=forms.HiddenInput)


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
    seen = forms.DecimalField(required=False, max_digits=12, decimal_places=3, widget=forms.HiddenInput)
    quantity = forms.DecimalField(
        label=_("Counted"), min_value=Decimal(0), max_digits=12, decimal_places=3, widget=quantity_input()
    )
    shelf = forms.CharField(label=_("Shelf"), required=False, max_length=40)
    note = forms.CharField(label=_("Note"), required=False, max_length=200)
