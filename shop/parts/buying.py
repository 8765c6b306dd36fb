"""An order put together by hand: for stock without a job, or from another supplier than the usual one."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from configurator.catalogue.models import Item, Supplier
from shop.jobs.press import USED

from .demand import Claim, open_claims, outlook
from .models import JobPart, PurchaseLine, PurchaseOrder, StockLevel
from .placing import OrderError, Wanted, packs_wrong, write_order
from .quantities import sku_of
from .stock import free_stock, lock_levels

MOST_NAMED = 4


@dataclass(frozen=True)
class Typed:
    """One line as it was typed: code, supplier's number or name; empty cost and number mean the usual."""

    item: str
    quantity: Decimal
    unit_cost_net: Decimal | None = None
    supplier_ref: str = ""


@dataclass(frozen=True)
class Terms:
    """At what cost and under which number an item was last had from a supplier; ``pack_size`` if usual."""

    unit_cost_net: Decimal | None
    supplier_ref: str
    pack_size: Decimal


class ItemError(ValueError):
    """No item, or more than one, goes by what was typed; ``str(error)`` says which."""


def find_item(typed: str) -> tuple[Item, str]:
    """Return the item that was typed and the colour it is mixed to, if one is said behind a dot.

    An exact code comes first, then the supplier's number, then the name. Raises ``ItemError``, naming the
    candidates where more than one goes by it.
    """
    words, _mark, colour = (part.strip() for part in typed.partition("·"))
    item = Item.objects.filter(code__iexact=words).first()
    if item:
        return item, colour
    for question in (Q(supplier_ref__iexact=words), Q(name__iexact=words), Q(name__icontains=words)):
        found = list(Item.objects.filter(question).order_by("code")[: MOST_NAMED + 1])
        if len(found) == 1:
            return found[0], colour
        if found:
            names = "; ".join(f"{each.code} ({each.name})" for each in found[:MOST_NAMED])
            more = " …" if len(found) > MOST_NAMED else ""
            raise ItemError(_("Which one? Enter the code: %(names)s") % {"names": names + more})
    raise ItemError(_("No part goes by this code, number or name."))


def terms(supplier: str, item: Item, sku: str) -> Terms:
    """Return the terms to propose: those of the last order there, else the catalogue's at the usual one."""
    usual = item.supplier.code == supplier
    pack = item.pack_size if usual else Decimal(1)
    last = PurchaseLine.objects.filter(order__supplier=supplier, sku=sku).order_by("-pk").first()
    if last:
        return Terms(last.unit_cost_net, last.supplier_ref, pack)
    return Terms(item.unit_cost if usual else None, item.supplier_ref if usual else "", pack)


@transaction.atomic
def place_by_hand(
    *, supplier: Supplier, typed: list[Typed], by: Any, press: str, note: str = ""
) -> PurchaseOrder:
    """Order these lines; what jobs lack of them is ordered for those jobs, the rest for stock.

    The same pressing is one order. Raises ``OrderError`` with a message by the line's place in ``typed``.
    """
    found, wrong = _resolved(supplier, typed)
    lock_levels(sku for sku, _, _ in found.values())
    before = PurchaseOrder.objects.filter(press=press).first()
    if before:
        _check_same(before, supplier, found, typed)
        return before
    if not typed:
        raise OrderError(_("Enter at least one part with its quantity."))
    if wrong:
        raise OrderError(_("Nothing was ordered: look at the lines marked below."), wrong)
    missing = _missing({sku for sku, _, _ in found.values()})
    wanted = [
        _wanted(typed[int(key)], sku, item, known, missing.get(sku, ()))
        for key, (sku, item, known) in found.items()
    ]
    return write_order(code=supplier.code, name=supplier.name, wanted=wanted, by=by, press=press, note=note)


def _check_same(
    before: PurchaseOrder, supplier: Supplier, found: dict[str, tuple[str, Item, Terms]], typed: list[Typed]
) -> None:
    """Raise ``OrderError`` where the form that made this order says something else by now."""
    now = sorted((sku, typed[int(place)].quantity) for place, (sku, _item, _terms) in found.items())
    was = sorted(before.lines.values_list("sku", "quantity"))
    if (before.supplier, was, len(found)) != (supplier.code, now, len(typed)):
        raise OrderError(str(USED))


def _resolved(
    supplier: Supplier, typed: list[Typed]
) -> tuple[dict[str, tuple[str, Item, Terms]], dict[str, str]]:
    """Return stock key, item and terms by the line's place, and what is wrong by the line's place."""
    found: dict[str, tuple[str, Item, Terms]] = {}
    wrong: dict[str, str] = {}
    seen: set[str] = set()
    for place, line in enumerate(typed):
        try:
            item, colour = find_item(line.item)
        except ItemError as error:
            wrong[str(place)] = str(error)
            continue
        sku = sku_of(item.code, "paint", colour)
        known = terms(supplier.code, item, sku)
        said = _not_orderable(line, sku, known, seen)
        seen.add(sku)
        if said:
            wrong[str(place)] = said
        else:
            found[str(place)] = (sku, item, known)
    return found, wrong


def _not_orderable(line: Typed, sku: str, known: Terms, seen: set[str]) -> str:
    if sku in seen:
        return _("This part is on the order already: put the quantities together.")
    if "·" in line.item and not _is_mixed(sku):
        return _("Nothing is mixed to this colour, neither for a job nor on the shelf.")
    if line.unit_cost_net is None and known.unit_cost_net is None:
        return _("Enter the price agreed: this supplier’s is not known.")
    return packs_wrong(line.quantity, known.pack_size)


def _is_mixed(sku: str) -> bool:
    return StockLevel.objects.filter(sku=sku).exists() or JobPart.objects.filter(sku=sku).exists()


def _missing(skus: set[str]) -> dict[str, tuple[tuple[Claim, Decimal], ...]]:
    """Return what jobs lack of these and nobody has ordered, by stock key."""
    found: dict[str, tuple[tuple[Claim, Decimal], ...]] = {}
    for view in outlook(open_claims(skus), free_stock(skus)):
        if view.missing > 0:
            sku = view.claim.part.sku
            found[sku] = (*found.get(sku, ()), (view.claim, view.missing))
    return found


def _wanted(
    line: Typed, sku: str, item: Item, known: Terms, missing: tuple[tuple[Claim, Decimal], ...]
) -> Wanted:
    part = missing[0][0].part if missing else JobPart.objects.filter(sku=sku).order_by("-pk").first()
    cost = known.unit_cost_net if line.unit_cost_net is None else line.unit_cost_net
    return Wanted(
        sku=sku,
        item=item.code,
        name=item.name,
        unit=item.unit,
        pack_size=known.pack_size,
        quantity=line.quantity,
        unit_cost_net=cost or Decimal(0),
        supplier_ref=line.supplier_ref or known.supplier_ref,
        facts=part.facts if part else {},
        need_by=min((claim.need_by for claim, _ in missing if claim.need_by), default=None),
        missing=missing,
    )
