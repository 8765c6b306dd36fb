"""Stock: counting, reserving for jobs, handing out and putting back.

The rows of ``StockLevel`` are what everyone queues for, always locked in the order of their keys
and, where a job's row is locked too, after it. Moving jobs on is promised through the outbox, so nobody
holding stock ever waits for a job.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from shop.jobs.models import Job

from .demand import Claim, need_dates, open_claims
from .models import JobPart, Reservation, StockLevel, StockMovement
from .netting import share_out
from .quantities import NOTHING, exactly

Reason = StockMovement.Reason


class StockError(ValueError):
    """A quantity that cannot be; ``str(error)`` is the message to show."""


def lock_levels(skus: Iterable[str]) -> dict[str, StockLevel]:
    """Lock the stock rows of these items, making those that are not there yet."""
    wanted = sorted(set(skus))
    StockLevel.objects.bulk_create([StockLevel(sku=sku) for sku in wanted], ignore_conflicts=True)
    levels = StockLevel.objects.select_for_update().filter(sku__in=wanted).order_by("sku")
    return {level.sku: level for level in levels}


def free_stock(skus: Collection[str] | None = None) -> dict[str, Decimal]:
    """Return unreserved stock by stock key."""
    levels, held = StockLevel.objects.all(), Reservation.objects.all()
    if skus is not None:
        levels, held = levels.filter(sku__in=skus), held.filter(sku__in=skus)
    sums = held.order_by().values("sku").annotate(total=Sum("quantity")).values_list("sku", "total")
    reserved = {sku: exactly(total) for sku, total in sums}
    on_hand = levels.order_by().values_list("sku", "quantity")
    return {sku: quantity - reserved.get(sku, NOTHING) for sku, quantity in on_hand}


@transaction.atomic
def reserve(*, skus: Iterable[str]) -> set[int]:
    """Reserve free stock of these items for whoever needs it first; return the jobs that gained.

    Never more than lies on the shelf, never more than a line asks for.
    """
    wanted = set(skus)
    levels = lock_levels(wanted)
    free = free_stock(wanted)
    claims: dict[str, list[Claim]] = defaultdict(list)
    for claim in open_claims(wanted):
        claims[claim.part.sku].append(claim)
    gained: set[int] = set()
    for sku in levels:
        parts = {claim.part.pk: claim.part for claim in claims[sku]}
        for share in share_out(free.get(sku, NOTHING), [(c.part.pk, c.quantity) for c in claims[sku]]):
            _hold(parts[share.key], share.quantity)
            gained.add(parts[share.key].job_id)
    return gained


def _hold(part: JobPart, quantity: Decimal) -> None:
    held, made = Reservation.objects.get_or_create(
        part=part, defaults={"sku": part.sku, "quantity": quantity}
    )
    if not made:
        held.quantity += quantity
        held.save(update_fields=["quantity"])


@transaction.atomic
def release(*, job: Job) -> set[str]:
    """Give the job's reserved stock free for others; return their stock keys."""
    skus = set(Reservation.objects.filter(part__job=job).values_list("sku", flat=True))
    lock_levels(skus)
    Reservation.objects.filter(part__job=job).delete()
    reserve(skus=skus)
    return skus


@transaction.atomic
def issue(*, job: Job, by: Any = None) -> list[JobPart]:
    """Hand the job's reserved stock out to the bay: it leaves the shelf. Safe to call again."""
    skus = set(Reservation.objects.filter(part__job=job).values_list("sku", flat=True))
    lock_levels(skus)
    handed = []
    for held in Reservation.objects.filter(part__job=job).select_related("part"):
        part = held.part
        held.delete()
        change(sku=part.sku, quantity=-held.quantity, reason=Reason.ISSUED, part=part, by=by)
        part.issued += held.quantity
        part.save(update_fields=["issued"])
        handed.append(part)
    return handed


@transaction.atomic
def count(
    *, sku: str, quantity: Decimal, by: Any = None, note: str = "", seen: Decimal | None = None
) -> StockLevel:
    """Set the level to what was counted on the shelf; raise ``StockError`` below what is reserved.

    ``seen`` is the level that the page showed: what came in or went out since would be counted away.
    """
    level = lock_levels([sku])[sku]
    if seen not in (None, level.quantity) and quantity != level.quantity:
        raise StockError(
            _("%(now)s lie there by now: goods came in or went out since you opened the page. Count again.")
            % {"now": _plain(level.quantity)}
        )
    reserved = level.quantity - free_stock([sku])[sku]
    if quantity < reserved:
        raise StockError(
            _("%(n)s are reserved for jobs; give those free first, or count at least that many.")
            % {"n": _plain(reserved)}
        )
    if quantity != level.quantity:
        change(sku=sku, quantity=quantity - level.quantity, reason=Reason.COUNTED, by=by, note=note)
    reserve(skus=[sku])
    return StockLevel.objects.get(sku=sku)


def take_off(*, sku: str, quantity: Decimal, reason: str, by: Any, note: str) -> set[int]:
    """Take stock off a shelf that the caller has locked; return the jobs that it was kept for and lose it.

    Free stock goes first, then what is reserved, from whoever would be served last. Raises ``StockError``
    when less lies there.
    """
    level = StockLevel.objects.get(sku=sku)
    if quantity > level.quantity:
        raise StockError(
            _("Only %(n)s lie on the shelf; the rest was handed out to jobs or counted away.")
            % {"n": _plain(level.quantity)}
        )
    lacking = quantity - free_stock([sku])[sku]
    losing: set[int] = set()
    held = Reservation.objects.filter(sku=sku).select_related("part")
    dates = need_dates(row.part for row in held)
    claims = [(Claim(row.part, row.quantity, dates[row.part_id]), row) for row in held]
    for _claim, row in sorted(claims, key=lambda pair: pair[0].rank, reverse=True):
        if lacking <= 0:
            break
        taken = min(lacking, row.quantity)
        lacking -= taken
        losing.add(row.part.job_id)
        row.quantity -= taken
        if row.quantity:
            row.save(update_fields=["quantity"])
        else:
            row.delete()
    change(sku=sku, quantity=-quantity, reason=reason, by=by, note=note)
    return losing


def change(
    *, sku: str, quantity: Decimal, reason: str, part: JobPart | None = None, by: Any = None, note: str = ""
) -> None:
    """Change a level that the caller has locked, and write why."""
    level = StockLevel.objects.get(sku=sku)
    level.quantity += quantity
    level.save(update_fields=["quantity"])
    StockMovement.objects.create(sku=sku, quantity=quantity, reason=reason, part=part, by=by, note=note[:200])


def _plain(quantity: Decimal) -> str:
    return f"{quantity.normalize():f}"
