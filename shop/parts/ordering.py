"""From need to purchase orders: what is short, from whom, by when, in whole packs; ordered once."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds.money import rounded
from configurator.catalogue import workshop
from configurator.catalogue.models import Supplier
from configurator.outbox import service as outbox
from shop.jobs.models import Job
from shop.jobs.numbers import next_number

from .demand import Claim, Outlook, open_claims, open_lines, outlook
from .models import JobPart, OrderedFor, PurchaseLine, PurchaseOrder
from .netting import share_out, to_order
from .progress import promise_progress
from .quantities import NOTHING
from .stock import free_stock, lock_levels


class NothingToOrderError(ValueError):
    """Everything is in stock or already on order; ``str(error)`` says so."""


@dataclass(frozen=True)
class Need:
    """One item that is short: how much, for which lines, by when, and what to order.

    ``need_by`` is the day it must be in (None: not planned yet), ``order_by`` that day less the lead
    time, ``late`` whether that day is past.
    """

    part: JobPart
    claims: tuple[Claim, ...]
    missing: tuple[tuple[Claim, Decimal], ...]
    wanted: Decimal
    free: Decimal
    on_order: Decimal
    quantity: Decimal
    cost_net: Decimal
    need_by: date | None
    order_by: date | None
    late: bool

    @property
    def by_job(self) -> list[tuple[Job, Decimal]]:
        """The jobs that lack it, with how much each."""
        found: dict[int, tuple[Job, Decimal]] = {}
        for claim, missing in self.missing:
            job, before = found.get(claim.part.job_id, (claim.part.job, NOTHING))
            found[claim.part.job_id] = (job, before + missing)
        return list(found.values())

    @property
    def spare(self) -> Decimal:
        """What is left over because the supplier sells whole packs."""
        return self.quantity - (self.wanted - self.free - self.on_order)


@dataclass(frozen=True)
class SupplierNeed:
    """All that is short from one supplier."""

    code: str
    name: str
    needs: tuple[Need, ...]

    @property
    def cost_net(self) -> Decimal:
        """What the order will cost, without tax."""
        return sum((need.cost_net for need in self.needs), NOTHING)

    @property
    def late(self) -> bool:
        """Whether an item should have been ordered already."""
        return any(need.late for need in self.needs)

    @property
    def order_by(self) -> date | None:
        """The first day by which to order."""
        return min((need.order_by for need in self.needs if need.order_by), default=None)


def plan_orders(*, supplier: str | None = None, today: date | None = None) -> list[SupplierNeed]:
    """Net what jobs lack against free stock and open orders, grouped by supplier, most urgent first."""
    today = today or timezone.localdate()
    claims = open_claims()
    free = free_stock({claim.part.sku for claim in claims})
    by_sku: dict[str, list[Outlook]] = defaultdict(list)
    for view in outlook(claims, free):
        by_sku[view.claim.part.sku].append(view)
    on_order: dict[str, Decimal] = defaultdict(Decimal)
    for line in open_lines(list(by_sku)):
        on_order[line.sku] += line.open
    groups: dict[str, list[Need]] = defaultdict(list)
    for sku, views in by_sku.items():
        need = _need(views, free.get(sku, NOTHING), on_order[sku], today)
        if need.quantity > 0 and supplier in (None, need.part.supplier):
            groups[need.part.supplier].append(need)
    found = [
        SupplierNeed(code, needs[0].part.supplier_name, tuple(sorted(needs, key=_urgency)))
        for code, needs in groups.items()
    ]
    return sorted(found, key=lambda group: (group.order_by or date.max, group.name))


def _need(views: list[Outlook], free: Decimal, on_order: Decimal, today: date) -> Need:
    # The newest line carries the newest terms; every job's own copy stays as agreed.
    part = max((view.claim.part for view in views), key=lambda part: part.pk)
    missing = tuple((view.claim, view.missing) for view in views if view.missing > 0)
    wanted = sum((view.claim.quantity for view in views), NOTHING)
    quantity = to_order(wanted=wanted, free=free, on_order=on_order, pack_size=part.pack_size)
    need_by = min((claim.need_by for claim, _ in missing if claim.need_by), default=None)
    order_by = need_by - timedelta(days=part.lead_time_days) if need_by else None
    return Need(
        part=part,
        claims=tuple(view.claim for view in views),
        missing=missing,
        wanted=wanted,
        free=free,
        on_order=on_order,
        quantity=quantity,
        cost_net=rounded(quantity * part.unit_cost_net),
        need_by=need_by,
        order_by=order_by,
        late=order_by is not None and order_by < today,
    )


def _urgency(need: Need) -> tuple[date, str]:
    return need.order_by or date.max, need.part.name


@transaction.atomic
def place_order(*, supplier: str, by: Any, press: str = "", note: str = "") -> PurchaseOrder:
    """Order everything that is short from one supplier and return the order.

    ``press`` is the key of one pressing of the button: the same key gives the same order. Two buyers
    with keys of their own queue for the stock rows; the second finds the need met and gets
    ``NothingToOrderError``.
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
        raise NothingToOrderError(_("Everything from this supplier is in stock or already on order."))
    order = _write_order(group, needs, by=by, press=press, note=note)
    promise_progress({claim.part.job_id for need in needs for claim, _ in need.missing}, f"order-{order.pk}")
    _promise_paper(order)
    return order


def _write_order(group: SupplierNeed, needs: list[Need], *, by: Any, press: str, note: str) -> PurchaseOrder:
    known = Supplier.objects.filter(code=group.code).first()
    options = {"press": press} if press else {}
    order = PurchaseOrder.objects.create(
        number=next_number("PO"),
        supplier=group.code,
        supplier_name=known.name if known else group.name,
        supplier_address=_address(known),
        customer_number=known.customer_number if known else "",
        currency=workshop.currency(),
        tax_rate_pct=_tax_rate(known),
        deliver_to=_delivery_place(),
        total_net=sum((need.cost_net for need in needs), NOTHING),
        placed_by=by,
        note=note[:500],
        **options,
    )
    for position, need in enumerate(needs, start=1):
        _write_line(order, position, need)
    return order


def _write_line(order: PurchaseOrder, position: int, need: Need) -> None:
    part = need.part
    line = PurchaseLine.objects.create(
        order=order,
        position=position,
        item=part.item,
        sku=part.sku,
        name=part.name,
        supplier_ref=part.supplier_ref,
        facts=part.facts,
        unit=part.unit,
        pack_size=part.pack_size,
        quantity=need.quantity,
        unit_cost_net=part.unit_cost_net,
        amount_net=need.cost_net,
        need_by=need.need_by,
    )
    asked = [(claim.part.pk, missing) for claim, missing in need.missing]
    OrderedFor.objects.bulk_create(
        OrderedFor(line=line, part_id=share.key, quantity=share.quantity)
        for share in share_out(need.quantity, asked)
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
    """Return the rate to expect; none is told where another country's law or the buyer's duty decides."""
    own = workshop.current()
    if own is None or supplier is None or supplier.country != own.country:
        return None
    return own.tax_rate_pct


def _delivery_place() -> dict[str, str]:
    own = workshop.current()
    if own is None:
        return {}
    place = {"name": own.name, "country": own.country}
    prefix = "delivery_" if own.delivery_street else ""
    return place | {name: getattr(own, prefix + name) for name in ("street", "postcode", "town")}
