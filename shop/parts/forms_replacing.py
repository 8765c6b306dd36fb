"""Forms of replacing a part and of putting one back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from configurator.catalogue.models import Item, Supplier
from shop.jobs.press import PressForm

from .forms import quantity_input
from .models import JobPart
from .quantities import plain
from .replacing import OTHER_PART


class ReplaceForm(PressForm):
    """From whom a part is had instead, and which, at what cost."""

    supplier = forms.ChoiceField(label=_("Supplier"))
    supplier_ref = forms.CharField(label=_("Their number for it"), required=False, max_length=60)
    item = forms.ChoiceField(label=_("Part"), required=False)
    unit_cost_net = forms.DecimalField(
        label=_("Cost each, without tax"), min_value=Decimal(0), max_digits=10, decimal_places=4
    )
    lead_time_days = forms.IntegerField(label=_("Days until it is here"), min_value=0, max_value=400)
    why = forms.CharField(label=_("Why it is replaced"), max_length=200)

    def __init__(self, *args: Any, part: JobPart, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        supplier: Any = self.fields["supplier"]
        supplier.choices = [(each.code, each.name) for each in Supplier.objects.order_by("name")]
        item: Any = self.fields["item"]
        item.choices = [("", _("the same part"))]
        if part.kind in OTHER_PART:
            others = Item.objects.filter(unit=part.unit).exclude(code=part.item).order_by("name")
            item.choices += [(each.code, each.name) for each in others]
        else:
            item.help_text = _("Another part of this kind changes the build: propose that to the customer.")


class PutBackForm(forms.Form):
    """How much of a line goes back onto the shelf."""

    part = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    issued = forms.DecimalField(widget=forms.HiddenInput, max_digits=12, decimal_places=3)
    quantity = forms.DecimalField(
        label=_("Goes back"), min_value=Decimal("0.001"), max_digits=12, decimal_places=3,
        widget=quantity_input(),
    )  # fmt: skip

    @classmethod
    def of(cls, part: JobPart, left: Decimal, bound: PutBackForm | None) -> PutBackForm:
        """Return the form of one line: what was typed for it, or all that is left over of it."""
        ids = f"id_{part.pk}_%s"
        if bound is not None and bound.cleaned_data.get("part") == part.pk:
            bound.auto_id = ids
            return bound
        initial = {"part": part.pk, "issued": plain(part.issued), "quantity": plain(left)}
        return cls(initial=initial, auto_id=ids)
