"""Orders written: what is short, line by line as the buyer chose, and what is bought for stock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds.money import rounded
from configurator.catalogue import workshop
from configurator.catalogue.models import Supplier
from configurator.outbox import service as outbox
from shop.jobs.numbers import next_number

from .demand import Claim, open_claims
from .models import OrderedFor, PurchaseLine, PurchaseOrder
from .netting import share_out, whole_packs
from .ordering import Need, plan_orders
from .progress import promise_progress
from .quantities import NOTHING
from .stock import lock_levels


class NothingToOrderError(ValueError):
    """Nothing is left to order; ``str(error)`` says why."""


class OrderError(ValueError):
    """The order cannot be placed so; ``lines`` has a message for each line by its stock key."""

    def __init__(self, message: str, lines: Mapping[str, str] | None = None) -> None:
        super().__init__(message)
        self.lines = dict(lines or {})


@dataclass(frozen=True)
class Chosen:
    """How much of one item to order at what net cost a unit; ``seen`` is what the page proposed."""

    quantity: Decimal
    unit_cost_net: Decimal
    seen: Decimal | None = None


@dataclass(frozen=True)
class Wanted:
    """One line to write: what it is, how much at what cost, and which claims it is for."""

    sku: str
    item: str
    name: str
    unit: str
    pack_size: Decimal
    quantity: Decimal
    unit_cost_net: Decimal
    supplier_ref: str = ""
    facts: dict[str, Any] = field(default_factory=dict)
    need_by: date | None = None
    missing: tuple[tuple[Claim, Decimal], ...] = ()

    @property
    def amount_net(self) -> Decimal:
        """What the line costs."""
        return rounded(self.quantity * self.unit_cost_net)


@transaction.atomic
def place_order(
    *, supplier: str, by: Any, press: str = "", note: str = "", chosen: Mapping[str, Chosen] | None = None
) -> PurchaseOrder:
    """Order from one supplier what is short: all of it, or the ``chosen`` items by stock key.

    ``press`` is the key of one pressing of the button: the same key gives the same order. Two buyers
    with keys of their own queue for the stock rows; the second finds the need met and gets
    ``NothingToOrderError``. Raises ``OrderError`` for a choice that cannot be, or that was made before
    somebody else ordered.
    """
    asked = {claim.part.sku for claim in open_claims() if claim.part.supplier == supplier}
    lock_levels(asked)
    before = PurchaseOrder.objects.filter(press=press).first() if press else None
    if before:
        return before
    group = next((group for group in plan_orders(supplier=supplier)), None)
    # An item that became short after the locking waits for the next order.
    needs = [need for need in group.needs if need.part.sku in asked] if group else []
    if not group or not needs:
        raise NothingToOrderError(_("Nothing is left to order from this supplier."))
    wanted = [_as_asked(need) for need in needs] if chosen is None else _as_chosen(needs, chosen)
    return write_order(code=group.code, name=group.name, wanted=wanted, by=by, press=press, note=note)


def _as_asked(need: Need, chosen: Chosen | None = None) -> Wanted:
    part = need.part
    return Wanted(
        sku=part.sku,
        item=part.item,
        name=part.name,
        unit=part.unit,
        pack_size=part.pack_size,
        quantity=chosen.quantity if chosen else need.quantity,
        unit_cost_net=chosen.unit_cost_net if chosen else part.unit_cost_net,
        supplier_ref=part.supplier_ref,
        facts=part.facts,
        need_by=need.need_by,
        missing=need.missing,
    )


def _as_chosen(needs: list[Need], chosen: Mapping[str, Chosen]) -> list[Wanted]:
    """Return the lines chosen; raise ``OrderError`` where a choice is not what can be ordered now."""
    picked = {sku: choice for sku, choice in chosen.items() if choice.quantity > 0}
    if not picked:
        raise OrderError(_("Enter a quantity for at least one line."))
    known = {need.part.sku: need for need in needs}
    wrong = {sku: said for sku, choice in picked.items() if (said := _wrong(known.get(sku), choice))}
    if wrong:
        raise OrderError(_("Nothing was ordered: look at the lines marked below."), wrong)
    return [_as_asked(need, picked[need.part.sku]) for need in needs if need.part.sku in picked]


def _wrong(need: Need | None, choice: Chosen) -> str:
    if need is None or (choice.seen is not None and choice.seen != need.quantity):
        return _("This has changed since the page was opened. Look again, then order.")
    return packs_wrong(choice.quantity, need.part.pack_size)


def packs_wrong(quantity: Decimal, pack_size: Decimal) -> str:
    """Say what is wrong with a quantity that is no whole number of packs; nothing when it is one."""
    up = whole_packs(quantity, pack_size)
    if up == quantity:
        return ""
    down = up - pack_size
    options = f"{down.normalize():f} / {up.normalize():f}" if down > 0 else f"{up.normalize():f}"
    return _("Sold in packs of %(size)s only. Enter %(options)s.") % {
        "size": f"{pack_size.normalize():f}",
        "options": options,
    }


def write_order(
    *, code: str, name: str, wanted: list[Wanted], by: Any, press: str, note: str
) -> PurchaseOrder:
    """Write an order whose stock rows are locked; have its paper made and the jobs it is for looked at."""
    known = Supplier.objects.filter(code=code).first()
    options = {"press": press} if press else {}
    order = PurchaseOrder.objects.create(
        number=next_number("PO"),
        supplier=code,
        supplier_name=known.name if known else name,
        supplier_address=_address(known),
        customer_number=known.customer_number if known else "",
        currency=workshop.currency(),
        tax_rate_pct=_tax_rate(known),
        deliver_to=_delivery_place(),
        total_net=sum((line.amount_net for line in wanted), NOTHING),
        placed_by=by,
        note=note[:500],
        **options,
    )
    for position, line in enumerate(wanted, start=1):
        _write_line(order, position, line)
    promise_progress({claim.part.job_id for line in wanted for claim, _ in line.missing}, f"order-{order.pk}")
    _promise_paper(order)
    return order


def _write_line(order: PurchaseOrder, position: int, wanted: Wanted) -> None:
    line = PurchaseLine.objects.create(
        order=order,
        position=position,
        item=wanted.item,
        sku=wanted.sku,
        name=wanted.name,
        supplier_ref=wanted.supplier_ref,
        facts=wanted.facts,
        unit=wanted.unit,
        pack_size=wanted.pack_size,
        quantity=wanted.quantity,
        unit_cost_net=wanted.unit_cost_net,
        amount_net=wanted.amount_net,
        need_by=wanted.need_by,
    )
    asked = [(claim.part.pk, missing) for claim, missing in wanted.missing]
    OrderedFor.objects.bulk_create(
        OrderedFor(line=line, part_id=share.key, quantity=share.quantity)
        for share in share_out(wanted.quantity, asked)
    )


def _promise_paper(order: PurchaseOrder) -> None:
    """Have the order's PDF made; by name of the promise, since papers stand on parts."""
    payload = {"kind": "purchase order", "about": order.pk}
    outbox.promise(kind="paper", key=f"paper:purchase order:{order.pk}:placed", payload=payload)


def _address(supplier: Supplier | None) -> dict[str, str]:
    if supplier is None:
        return {}
    names = ("email", "street", "postcode", "town", "country", "legal_name", "endpoint", "language")
    return {name: getattr(supplier, name) for name in names}


def _tax_rate(supplier: Supplier | None) -> Decimal | None:
    """Return the rate to expect; none is told where another country's law or the buyer's duty decides.

    A workshop that charges no tax itself says nothing of what its suppliers charge.
    """
    own = workshop.current()
    if own is None or supplier is None or supplier.country != own.country:
        return None
    return own.tax_rate_on(timezone.localdate()) or None


def _delivery_place() -> dict[str, str]:
    own = workshop.current()
    if own is None:
        return {}
    place = {"name": own.name, "country": own.country}
    prefix = "delivery_" if own.delivery_street else ""
    return place | {name: getattr(own, prefix + name) for name in ("street", "postcode", "town")}
