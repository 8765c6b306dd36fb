"""A part that is not coming: had from another supplier, or replaced by another part that does the same.

What decides the fit (wheels, tyres, spacers, fasteners, rings) and what the customer sees is never replaced
here: that is a change of the build, judged anew and agreed to by the customer. Prices stay as agreed.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from configurator.catalogue.models import Item, Supplier
from shop.jobs.models import Job
from shop.jobs.moving import locked, record
from shop.jobs.roles import actor

from .demand import open_claims
from .models import JobPart, PurchaseLine, Reservation
from .models_replacing import Replacement
from .progress import promise_progress
from .receiving import ReceiptError, close_line
from .shortages import mark
from .stock import lock_levels, reserve

OTHER_PART = frozenset({"paint", "material", "extra"})
"""Kinds that another part may stand in for without asking the customer."""
FACTS = (
    "item", "sku", "name", "supplier", "supplier_name", "supplier_ref", "unit_cost_net", "pack_size",
    "lead_time_days", "returnable",
)  # fmt: skip


class ReplaceError(ValueError):
    """It cannot be replaced so; ``field`` names what is wrong, ``str(error)`` says it."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class Instead:
    """What is to be had instead: from whom, at what net cost, and another item's code or nothing."""

    supplier: str
    unit_cost_net: Decimal
    lead_time_days: int
    supplier_ref: str = ""
    item: str = ""


def wanting(line: PurchaseLine) -> list[JobPart]:
    """Return the lines of jobs that lack what this order line was to bring."""
    return [claim.part for claim in open_claims([line.sku])]


@transaction.atomic
def replace(*, line_id: int, instead: Instead, why: str, by: Any, press: str) -> Replacement:
    """End an order line and have every job that lacks its part get it otherwise, to be ordered anew.

    ``press`` makes doing it twice one replacement. Raises ``ReplaceError``.
    """
    known = Replacement.objects.filter(press=press).first()
    if known:
        return known
    line = PurchaseLine.objects.select_related("order").get(pk=line_id)
    if not why.strip():
        raise ReplaceError(_("Say why it is replaced."), "why")
    jobs = {pk: locked(pk) for pk in sorted({part.job_id for part in wanting(line)})}
    parts = [part for part in wanting(line) if part.job_id in jobs]
    if not parts:
        raise ReplaceError(_("No job lacks this part any more."))
    supplier = Supplier.objects.filter(code=instead.supplier).first()
    if supplier is None:
        raise ReplaceError(_("Choose who supplies it."), "supplier")
    item = _other_item(instead, parts)
    if line.open > 0:
        _end(line, why)
    made = _made(line, parts, instead, supplier, item, why.strip(), by, press)
    _take_over(made, parts, jobs, by)
    return made


def _end(line: PurchaseLine, why: str) -> None:
    try:
        close_line(order_id=line.order_id, line_id=line.pk, why=why)
    except ReceiptError as error:
        raise ReplaceError(str(error)) from error


def _other_item(instead: Instead, parts: list[JobPart]) -> Item | None:
    """Return the catalogue's item that stands in, after a look at whether it may."""
    if not instead.item or instead.item == parts[0].item:
        return None
    item = Item.objects.filter(code=instead.item).first()
    if item is None or item.unit != parts[0].unit:
        raise ReplaceError(_("Choose a part that is counted in the same unit."), "item")
    if parts[0].kind not in OTHER_PART:
        raise ReplaceError(
            _("Another part of this kind changes the build: propose the change to the customer."), "item"
        )
    begun = [part for part in parts if part.issued or Reservation.objects.filter(part=part).exists()]
    if begun:
        numbers = ", ".join(sorted({part.job.number for part in begun}))
        raise ReplaceError(_("Some of it is here already for %(jobs)s.") % {"jobs": numbers}, "item")
    return item


def _made(
    line: PurchaseLine, parts: list[JobPart], instead: Instead, supplier: Supplier, item: Item | None,
    why: str, by: Any, press: str,
) -> Replacement:  # fmt: skip
    part = parts[0]
    made = Replacement.objects.create(
        instead_of=line.sku,
        item=item.code if item else part.item,
        # Another paint keeps the colour it is mixed to: its own stock key, with the colour behind it.
        sku=(item.code + part.sku.removeprefix(part.item))[:160] if item else part.sku,
        name=item.name if item else part.name,
        supplier=supplier.code,
        supplier_name=supplier.name,
        supplier_ref=instead.supplier_ref or (item.supplier_ref if item else ""),
        unit_cost_net=instead.unit_cost_net,
        pack_size=item.pack_size if item else part.pack_size,
        lead_time_days=instead.lead_time_days,
        returnable=item.returnable if item else part.returnable,
        why=why[:200],
        press=press,
        by=by,
    )
    made.parts.set(parts)
    return made


def _take_over(made: Replacement, parts: list[JobPart], jobs: dict[int, Job], by: Any) -> None:
    """Write the replacement onto the jobs' lines and have what is on the shelf reserved for them."""
    lock_levels({made.instead_of, made.sku})
    for part in parts:
        was = f"{part.name}, {part.supplier_name}"
        apply(made, part)
        part.save()
        now = f"{made.name}, {made.supplier_name}"
        record(jobs[part.job_id], actor(by), "parts.replaced", why=made.why, before=was, after=now)
    mark({made.instead_of, made.sku})
    reserve(skus={made.instead_of, made.sku})
    promise_progress({part.job_id for part in parts}, f"replaced-{made.pk}")


def apply(made: Replacement, part: JobPart) -> None:
    """Set on a line what the replacement says; the caller saves. What the customer pays stays as agreed."""
    for name in FACTS:
        setattr(part, name, getattr(made, name))
