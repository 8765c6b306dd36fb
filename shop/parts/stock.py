"""Stock: counting, reserving for jobs, handing out and putting back.

The rows of ``StockLevel`` are what everyone queues for, always locked in the order of their item codes
and, where a job's row is locked too, after it. Moving jobs on is promised through the outbox, so nobody
holding stock ever waits for a job.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.db.models import Sum

from .demand import Claim, open_claims
from .models import NOTHING, JobPart, Reservation, StockLevel, StockMovement
from .netting import share_out

if TYPE_CHECKING:
    from shop.jobs.models import Job

Reason = StockMovement.Reason


class StockError(ValueError):
    """A quantity that cannot be; ``str(error)`` is the message to show."""


def lock_levels(items: Iterable[str]) -> dict[str, StockLevel]:
    """Lock the stock rows of these items, making those that are not there yet."""
    wanted = sorted(set(items))
    StockLevel.objects.bulk_create([StockLevel(item=item) for item in wanted], ignore_conflicts=True)
    levels = StockLevel.objects.select_for_update().filter(item__in=wanted).order_by("item")
    return {level.item: level for level in levels}


def free_stock(items: Collection[str] | None = None) -> dict[str, Decimal]:
    """Return unreserved stock by item code."""
    levels, held = StockLevel.objects.all(), Reservation.objects.all()
    if items is not None:
        levels, held = levels.filter(item__in=items), held.filter(item__in=items)
    reserved = dict(held.order_by().values_list("item").annotate(Sum("quantity")))
    return {
        item: on_hand - reserved.get(item, NOTHING)
        for item, on_hand in levels.values_list("item", "quantity")
    }


@transaction.atomic
def reserve(*, items: Iterable[str]) -> set[int]:
    """Reserve free stock of these items for whoever needs it first; return the jobs that gained.

    Never more than lies on the shelf, never more than a line asks for.
    """
    wanted = set(items)
    levels = lock_levels(wanted)
    free = free_stock(wanted)
    claims: dict[str, list[Claim]] = defaultdict(list)
    for claim in open_claims(wanted):
        claims[claim.part.item].append(claim)
    gained: set[int] = set()
    for item in levels:
        parts = {claim.part.pk: claim.part for claim in claims[item]}
        for share in share_out(free.get(item, NOTHING), [(c.part.pk, c.quantity) for c in claims[item]]):
            _hold(parts[share.key], share.quantity)
            gained.add(parts[share.key].job_id)
    return gained


def _hold(part: JobPart, quantity: Decimal) -> None:
    held, made = Reservation.objects.get_or_create(
        part=part, defaults={"item": part.item, "quantity": quantity}
    )
    if not made:
        held.quantity += quantity
        held.save(update_fields=["quantity"])


@transaction.atomic
def release(*, job: Job) -> set[str]:
    """Give the job's reserved stock free for others; return the items."""
    items = set(Reservation.objects.filter(part__job=job).values_list("item", flat=True))
    lock_levels(items)
    Reservation.objects.filter(part__job=job).delete()
    reserve(items=items)
    return items


@transaction.atomic
def issue(*, job: Job, by: Any = None) -> list[JobPart]:
    """Hand the job's reserved stock out to the bay: it leaves the shelf. Safe to call again."""
    items = set(Reservation.objects.filter(part__job=job).values_list("item", flat=True))
    lock_levels(items)
    handed = []
    for held in Reservation.objects.filter(part__job=job).select_related("part"):
        part = held.part
        held.delete()
        change(item=part.item, quantity=-held.quantity, reason=Reason.ISSUED, part=part, by=by)
        part.issued += held.quantity
        part.save(update_fields=["issued"])
        handed.append(part)
    return handed


@transaction.atomic
def count(*, item: str, quantity: Decimal, by: Any = None, note: str = "") -> StockLevel:
    """Set the level to what was counted on the shelf; raise ``StockError`` below what is reserved."""
    level = lock_levels([item])[item]
    reserved = level.quantity - free_stock([item])[item]
    if quantity < reserved:
        raise StockError(
            f"{_plain(reserved)} are reserved for jobs; give those free first, or count at least that many."
        )
    if quantity != level.quantity:
        change(item=item, quantity=quantity - level.quantity, reason=Reason.COUNTED, by=by, note=note)
    reserve(items=[item])
    return StockLevel.objects.get(item=item)


def change(
    *, item: str, quantity: Decimal, reason: str, part: JobPart | None = None, by: Any = None, note: str = ""
) -> None:
    """Change a level that the caller has locked, and write why."""
    level = StockLevel.objects.get(item=item)
    level.quantity += quantity
    level.save(update_fields=["quantity"])
    StockMovement.objects.create(
        item=item, quantity=quantity, reason=reason, part=part, by=by, note=note[:200]
    )


def _plain(quantity: Decimal) -> str:
    return f"{quantity.normalize():f}"
