"""Prices and counts of goods as one sheet: prices go into the draft, counts to the shelf at once."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from configurator.catalogue import drafts, words
from configurator.catalogue.models import Item
from configurator.catalogue.overlay import judge_cells
from configurator.catalogue.plain import TYPED, Plain, kind_of, plain
from shop.parts.models import StockLevel
from shop.parts.service import count
from shop.parts.stock import StockError

from .cells import given
from .choosing import rows_of, said_of
from .lists import GOODS

PAGE = 40
KIND_OF = {
    "wheel": "wheels",
    "tyre": "tyres",
    "spacer": "spacers",
    "fastener": "fasteners",
    "centringring": "centring_rings",
}


class SheetFilter(forms.Form):
    """Which goods the sheet shows."""

    q = forms.CharField(required=False, max_length=100, label=gettext_lazy("Name, code or supplier’s number"))
    kind = forms.ChoiceField(required=False, label=gettext_lazy("Kind"))
    supplier = forms.ChoiceField(required=False, label=gettext_lazy("Supplier"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        everything = [("", _("All"))]
        self.fields["kind"].choices = [*everything, *((name, words.HEADING[name]) for name in GOODS)]  # type: ignore[attr-defined]
        self.fields["supplier"].choices = [*everything, *rows_of("suppliers")]  # type: ignore[attr-defined]


class LineForm(forms.Form):
    """Cost, price and count of one thing; ``seen`` marks the row and ``was`` the level as they were shown."""

    unit_cost = forms.DecimalField(required=True, min_value=0, max_digits=10, decimal_places=4, localize=True)
    unit_price = forms.DecimalField(
        required=True, min_value=0, max_digits=10, decimal_places=4, localize=True
    )
    quantity = forms.DecimalField(required=False, min_value=0, max_digits=12, decimal_places=3, localize=True)
    seen = forms.CharField(widget=forms.HiddenInput)
    was = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, name: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field, label in (
            ("unit_cost", _("Cost")),
            ("unit_price", _("Price")),
            ("quantity", _("On the shelf")),
        ):
            self.fields[field].widget.attrs |= {"aria-label": f"{label}, {name}", "inputmode": "decimal"}


@dataclass
class SheetLine:
    """One thing on the sheet."""

    item: Item
    kind: str
    row: Plain
    name: str
    form: LineForm
    drafted: bool

    @property
    def margin_pct(self) -> str:
        """Return how far the price, tax included, lies above the cost, in per cent of the price."""
        price, cost = Decimal(self.row["unit_price"]), Decimal(self.row["unit_cost"])
        return f"{(price - cost) / price * 100:.0f}" if price else ""


def in_cents(amount: Decimal) -> Decimal:
    """Return an amount with two decimals, or with as many more as it has."""
    exact = amount.quantize(Decimal("0.01"))
    return exact if exact == amount else amount.normalize()


def goods(asked: dict[str, Any]) -> QuerySet[Item]:
    """Return the goods that are not retired and match what was asked for."""
    found = Item.objects.filter(retired=False).select_related("supplier", *TYPED).order_by("name", "pk")
    for word in (asked.get("q") or "").split():
        found = found.filter(
            Q(name__icontains=word) | Q(code__icontains=word) | Q(supplier_ref__icontains=word)
        )
    if asked.get("supplier"):
        found = found.filter(supplier__code=asked["supplier"])
    kind = asked.get("kind")
    if kind == "items":
        return found.filter(**dict.fromkeys(TYPED))
    relation = next((name for name, plural in KIND_OF.items() if plural == kind), None)
    return found.filter(**{f"{relation}__isnull": False}) if relation else found


def kind_of_item(item: Item) -> str:
    """Return the kind whose row an item is part of."""
    return next((plural for name, plural in KIND_OF.items() if getattr(item, name, None)), "items")


def sheet(asked: dict[str, Any], number: Any, data: Any = None) -> tuple[Any, list[SheetLine]]:
    """Return a page of the sheet with its forms, filled from draft and shelf, or from what was typed."""
    page = Paginator(goods(asked), PAGE).get_page(number)
    shelves = StockLevel.objects.filter(sku__in=[one.code for one in page.object_list])
    levels = dict(shelves.values_list("sku", "quantity"))
    draft, said = drafts.shared(), said_of("items")
    lines = []
    for item in page.object_list:
        kind = kind_of_item(item)
        seen = drafts.look(draft, kind, item.code)
        row = seen.now or seen.live
        if row is None:
            continue
        level = levels.get(item.code)
        shown = "" if level is None else f"{level.normalize():f}"
        initial: dict[str, Any] = {"seen": seen.mark, "was": shown}
        initial["quantity"] = None if level is None else Decimal(shown)
        initial |= {name: in_cents(Decimal(row[name])) for name in ("unit_cost", "unit_price")}
        name = said.get(item.code, item.name)
        form = LineForm(data, prefix=item.code, initial=initial, name=name)
        lines.append(SheetLine(item, kind, row, name, form, seen.row is not None))
    return page, lines


def keep(lines: list[SheetLine], by: Any) -> tuple[int, int]:
    """Keep what was changed; return how many prices and how many counts. Problems are said in the forms."""
    prices = counts = 0
    for line in lines:
        if not line.form.is_valid():
            continue
        prices += _keep_price(line, by)
        counts += _keep_count(line, by)
    return prices, counts


def _keep_price(line: SheetLine, by: Any) -> bool:
    names = [name for name in ("unit_cost", "unit_price") if name in line.form.changed_data]
    if not names:
        return False
    kind = kind_of(line.kind)
    changed: Plain = {name: line.form.cleaned_data[name] for name in names}
    row, wrong = judge_cells(kind, given({**line.row, **changed}))
    if row is None:
        line.form.add_error(names[0], wrong[0][1])
        return False
    try:
        drafts.keep(
            kind=line.kind, key=line.item.code, data=plain(row), by=by, seen=line.form.cleaned_data["seen"]
        )
    except drafts.EditedMeanwhileError as error:
        who = error.who or _("Somebody")
        said = _("%(who)s changed this meanwhile: it is %(cost)s and %(price)s now.")
        now = error.now or line.row
        line.form.add_error(
            names[0], said % {"who": who, "cost": now["unit_cost"], "price": now["unit_price"]}
        )
        return False
    return True


def _keep_count(line: SheetLine, by: Any) -> bool:
    wanted = line.form.cleaned_data["quantity"]
    was = line.form.cleaned_data["was"]
    if wanted is None or (was and wanted == Decimal(was)):
        return False
    level = StockLevel.objects.filter(sku=line.item.code).first()
    now = "" if level is None else f"{level.quantity.normalize():f}"
    if now != was:
        line.form.add_error(
            "quantity", _("The shelf holds %(now)s by now; count again.") % {"now": now or "0"}
        )
        return False
    try:
        count(sku=line.item.code, quantity=wanted, by=by, note=_("sheet of prices and stock"))
    except StockError as error:
        line.form.add_error("quantity", str(error))
        return False
    return True
