"""Which parts jobs are waiting for, when they are needed, and how each will be met."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import F, QuerySet
from django.utils import timezone

from shop.jobs.models import Job, JobOperation
from shop.jobs.states import State

from .models import JobPart, PurchaseLine, PurchaseOrder, Reservation
from .netting import cover
from .quantities import NOTHING

# From the deposit on, parts are bought; what an amendment or a mishap adds later is still wanted.
WANTING = (State.DEPOSIT_IN, State.PARTS_ON_ORDER, State.PARTS_IN, State.BOOKED, State.IN_THE_BAY)


@dataclass(frozen=True)
class Claim:
    """What one line of one job still lacks on the shelf, and the day it is needed (None: not planned)."""

    part: JobPart
    quantity: Decimal
    need_by: date | None

    @property
    def rank(self) -> tuple[date, int, int]:
        """Who is served first: the earlier need, then the earlier job."""
        return self.need_by or date.max, self.part.job_id, self.part.pk


def wanting_parts(skus: Collection[str] | None = None) -> QuerySet[JobPart]:
    """Return the lines in force of all jobs that parts are bought for."""
    parts = JobPart.objects.filter(dropped=False, job__state__in=WANTING)
    return parts if skus is None else parts.filter(sku__in=skus)


def open_claims(skus: Collection[str] | None = None) -> list[Claim]:
    """Return what is still lacking on the shelf for every wanting line, first served first."""
    parts = list(wanting_parts(skus).filter(issued__lt=F("quantity")).select_related("job"))
    held = dict(Reservation.objects.filter(part__in=parts).values_list("part", "quantity"))
    lacking = [(part, part.quantity - part.issued - held.get(part.pk, NOTHING)) for part in parts]
    dates = need_dates(part for part, quantity in lacking if quantity > 0)
    claims = [Claim(part, quantity, dates[part.pk]) for part, quantity in lacking if quantity > 0]
    return sorted(claims, key=lambda claim: claim.rank)


def need_dates(parts: Iterable[JobPart]) -> dict[int, date | None]:
    """Return the day each line must be in: the day before its first planned step starts.

    A line's steps are those that serve one of its choices; without such a step the job's first planned
    step counts, and without a plan the day is unknown.
    """
    parts = list(parts)
    planned = JobOperation.objects.filter(
        job__in={part.job_id for part in parts}, planned_start__isnull=False, is_skipped=False
    )
    steps = defaultdict(list)
    for job, start, choices in planned.values_list("job", "planned_start", "for_choices"):
        steps[job].append((timezone.localtime(start).date(), set(choices)))
    return {part.pk: _need_by(part, steps[part.job_id]) for part in parts}


def _need_by(part: JobPart, steps: list[tuple[date, set[str]]]) -> date | None:
    own = [start for start, choices in steps if choices & set(part.for_choices)]
    starts = own or [start for start, _ in steps]
    return min(starts) - timedelta(days=1) if starts else None


@dataclass(frozen=True)
class Expected:
    """Part of a claim that an open order will bring."""

    line: PurchaseLine
    quantity: Decimal


@dataclass(frozen=True)
class Outlook:
    """How a claim will be met: from free stock, from open orders, and what nobody has ordered."""

    claim: Claim
    from_stock: Decimal
    expected: tuple[Expected, ...]
    missing: Decimal


def lines_to_come() -> QuerySet[PurchaseLine]:
    """Return the order lines from which something is still expected, by the index of orders not closed."""
    lines = PurchaseLine.objects.filter(not_coming="", received__lt=F("quantity") - F("given_up"))
    return lines.filter(order__state__in=[PurchaseOrder.State.PLACED, PurchaseOrder.State.PART_RECEIVED])


def open_lines(skus: Collection[str] | None = None) -> list[PurchaseLine]:
    """Return the order lines from which something is still expected, oldest order first."""
    lines = lines_to_come().select_related("order")
    if skus is not None:
        lines = lines.filter(sku__in=skus)
    return list(lines.order_by("order__placed_at", "pk"))


def outlook(claims: list[Claim], free: dict[str, Decimal]) -> list[Outlook]:
    """Say for each claim where its quantity will come from; ``free`` is unreserved stock by stock key."""
    by_sku: dict[str, list[Claim]] = defaultdict(list)
    for claim in claims:
        by_sku[claim.part.sku].append(claim)
    expected: dict[str, list[PurchaseLine]] = defaultdict(list)
    for line in open_lines(list(by_sku)):
        expected[line.sku].append(line)
    found: list[Outlook] = []
    for sku, own in by_sku.items():
        lines = {line.pk: line for line in expected[sku]}
        # Key 0 is the shelf: primary keys start at 1.
        supplies = [(0, free.get(sku, NOTHING)), *((pk, line.open) for pk, line in lines.items())]
        met = cover([(claim.part.pk, claim.quantity) for claim in own], supplies)
        for claim in own:
            shares = met[claim.part.pk].from_supplies
            found.append(
                Outlook(
                    claim,
                    sum((s.quantity for s in shares if s.key == 0), NOTHING),
                    tuple(Expected(lines[s.key], s.quantity) for s in shares if s.key),
                    met[claim.part.pk].missing,
                )
            )
    return found


def job_parts(job: Job) -> QuerySet[JobPart]:
    """Return the job's lines in force."""
    return job.parts.filter(dropped=False)
