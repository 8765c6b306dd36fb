"""Forms of goods that did not go the straight way."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.jobs.press import PressForm

from .forms import LineField, quantity_input
from .goods import COMES_AGAIN, CREDIT, Trouble
from .models import GoodsNote, PurchaseOrder

What = GoodsNote.What


class TroubleForm(PressForm):
    """Which line, what is wrong with how much of it, and what the supplier does about it."""

    line = forms.Field()  # put in place for one order
    what = forms.ChoiceField(
        label=_("What happened"),
        choices=[(what.value, what.label) for what in (What.DAMAGED, What.WRONG, What.RETURNED)],
    )
    quantity = forms.DecimalField(
        label=_("How much of it"),
        min_value=Decimal("0.001"),
        max_digits=12,
        decimal_places=3,
        widget=quantity_input(),
    )
    then = forms.ChoiceField(
        label=_("The supplier"),
        choices=[(COMES_AGAIN, _("sends it once more")), (CREDIT, _("credits it, it does not come again"))],
    )
    note = forms.CharField(
        label=_("Note"),
        required=False,
        max_length=200,
        help_text=_("What is broken, what came instead, with whom you spoke."),
    )

    def __init__(self, order: PurchaseOrder, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lines = list(order.lines.all())
        only = lines[0].pk if len(lines) == 1 else None
        self.fields["line"] = LineField(order.lines.all(), label=_("Line"), initial=only)
        self.order_fields(["line"])

    def trouble(self) -> Trouble:
        """Return what was told."""
        told = self.cleaned_data
        return Trouble(what=told["what"], quantity=told["quantity"], then=told["then"], note=told["note"])


class UndoForm(forms.Form):
    """Why a receipt is taken back."""

    why = forms.CharField(label=_("Why it is undone"), max_length=200)


class CreditForm(forms.Form):
    """What the supplier's credit note says."""

    number = forms.CharField(label=_("Number of the credit note"), max_length=60)
    amount_net = forms.DecimalField(
        label=_("Credited, without tax"),
        min_value=Decimal(0),
        max_digits=12,
        decimal_places=2,
        widget=quantity_input(),
    )
