"""What is short, from whom, by when, in whole packs; the orders themselves are written in ``placing``."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.utils import timezone

from configurator.builds.money import rounded

from .demand import Claim, Outlook, open_claims, open_lines, outlook
from .models import JobPart
from .netting import to_order
from .quantities import NOTHING
from .stock import free_stock


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
    def by_job(self) -> list[tuple[str, Decimal]]:
        """The numbers of the jobs that lack it, with how much each, first served first."""
        found: dict[str, Decimal] = defaultdict(Decimal)
        for claim, missing in self.missing:
            found[claim.part.job.number] += missing
        return list(found.items())

    @property
    def more_jobs(self) -> int:
        """How many jobs lack it beyond those: none, since all are told."""
        return 0

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


def needs_of(
    skus: Collection[str] | None = None, today: date | None = None
) -> tuple[list[Need], list[Outlook]]:
    """Net what jobs lack of these items against free stock and open orders.

    Returns what is to be ordered, and how every line that lacks something will be met.
    """
    today = today or timezone.localdate()
    claims = open_claims(skus)
    free = free_stock({claim.part.sku for claim in claims})
    views = outlook(claims, free)
    by_sku: dict[str, list[Outlook]] = defaultdict(list)
    for view in views:
        by_sku[view.claim.part.sku].append(view)
    on_order: dict[str, Decimal] = defaultdict(Decimal)
    for line in open_lines(list(by_sku)):
        on_order[line.sku] += line.open
    needs = [_need(own, free.get(sku, NOTHING), on_order[sku], today) for sku, own in by_sku.items()]
    return [need for need in needs if need.quantity > 0], views


def plan_orders(*, supplier: str | None = None, today: date | None = None) -> list[SupplierNeed]:
    """Return what is to be ordered, grouped by supplier, most urgent first."""
    groups: dict[str, list[Need]] = defaultdict(list)
    for need in needs_of(today=today)[0]:
        if supplier in (None, need.part.supplier):
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
