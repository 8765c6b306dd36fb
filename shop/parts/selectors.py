"""What the buyer's pages read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet
from django.utils import timezone

from configurator.catalogue.models import Item
from shop.jobs.models import Job

from .demand import Outlook, job_parts, need_dates, open_claims, open_lines, outlook, wanting_parts
from .models import JobPart, PurchaseLine, PurchaseOrder, Reservation, StockLevel
from .progress import job_outlook
from .quantities import NOTHING
from .stock import free_stock


@dataclass(frozen=True)
class PartRow:
    """One line of a job's list with where its quantity stands."""

    part: JobPart
    need_by: date | None
    reserved: Decimal
    outlook: Outlook | None

    @property
    def state(self) -> str:
        """One word: handed out, here, on order, part on order, or missing."""
        if self.part.issued >= self.part.quantity:
            return "handed out"
        if self.part.issued + self.reserved >= self.part.quantity:
            return "here"
        if self.outlook is None:
            return "listed"
        if self.outlook.missing > 0:
            return "part on order" if self.outlook.expected else "to order"
        return "on order" if self.outlook.expected else "in stock"

    @property
    def tone(self) -> str:
        """The state's colour class."""
        tones = {"handed out": "is-ok", "here": "is-ok", "in stock": "is-ok", "listed": "is-info"}
        return tones.get(self.state, "is-warn" if self.state == "to order" else "is-info")

    @property
    def is_late(self) -> bool:
        """Whether the day it was needed is past and it is not here."""
        waiting = self.state not in ("handed out", "here")
        return waiting and self.need_by is not None and self.need_by < timezone.localdate()


def job_rows(job: Job) -> list[PartRow]:
    """Return the job's parts list with the state of every line."""
    parts = list(job_parts(job))
    dates = need_dates(parts)
    held = dict(Reservation.objects.filter(part__in=parts).values_list("part", "quantity"))
    views = {view.claim.part.pk: view for view in job_outlook(job)}
    return [PartRow(part, dates[part.pk], held.get(part.pk, NOTHING), views.get(part.pk)) for part in parts]


@dataclass(frozen=True)
class Waiting:
    """A job that waits for parts: how many lines are complete, and what is short."""

    job: Job
    lines: int
    complete: int
    missing: tuple[str, ...]


def waiting_jobs() -> list[Waiting]:
    """Return the jobs whose parts are not all here, the longest waiting first."""
    parts = list(wanting_parts().select_related("job", "job__revision", "job__spec"))
    claims = open_claims()
    lacking = {claim.part.pk for claim in claims}
    views = outlook(claims, free_stock({claim.part.sku for claim in claims}))
    missing: dict[int, list[str]] = {}
    for view in views:
        if view.missing > 0:
            missing.setdefault(view.claim.part.job_id, []).append(view.claim.part.name)
    by_job: dict[int, list[JobPart]] = {}
    for part in parts:
        by_job.setdefault(part.job_id, []).append(part)
    rows = [
        Waiting(
            own[0].job,
            len(own),
            sum(part.pk not in lacking for part in own),
            tuple(missing.get(job_id, ())),
        )
        for job_id, own in by_job.items()
        if any(part.pk in lacking for part in own)
    ]
    return sorted(rows, key=lambda row: row.job.state_since)


@dataclass(frozen=True)
class StockRow:
    """One thing on the shelf."""

    level: StockLevel
    name: str
    unit: str
    reserved: Decimal
    free: Decimal
    on_order: Decimal


def stock_rows(levels: list[StockLevel]) -> list[StockRow]:
    """Return what the shelves hold of these levels, by name."""
    skus = [level.sku for level in levels]
    codes = {sku: sku.split(" · ")[0] for sku in skus}
    items = {item.code: item for item in Item.objects.filter(code__in=set(codes.values()))}
    free = free_stock(skus)
    on_order: dict[str, Decimal] = {}
    for line in open_lines(skus):
        on_order[line.sku] = on_order.get(line.sku, NOTHING) + line.open
    rows = []
    for level in levels:
        item = items.get(codes[level.sku])
        colour = level.sku.partition(" · ")[2]
        name = item.name if item else level.sku
        rows.append(
            StockRow(
                level,
                f"{name}, {colour}" if colour else name,
                item.unit if item else "each",
                level.quantity - free[level.sku],
                free[level.sku],
                on_order.get(level.sku, NOTHING),
            )
        )
    return rows


def found_levels(words: str) -> QuerySet[StockLevel]:
    """Return the stock levels whose key, shelf or item name has all the words."""
    levels = StockLevel.objects.all()
    for word in words.split()[:6]:
        named = Item.objects.filter(name__icontains=word).values("code")
        levels = (
            levels.filter(sku__icontains=word)
            | levels.filter(shelf__icontains=word)
            | levels.filter(sku__in=named)
        )
    return levels


def listed_orders(state: str = "") -> QuerySet[PurchaseOrder]:
    """Return the orders, newest first, with what they hold."""
    orders = PurchaseOrder.objects.select_related("placed_by").prefetch_related("lines")
    return orders.filter(state=state) if state else orders


def jobs_of(line: PurchaseLine) -> list[tuple[Job, Decimal]]:
    """Return for which jobs a line was ordered, and how much for each."""
    found: dict[int, tuple[Job, Decimal]] = {}
    for row in line.ordered_for.all():
        job, quantity = found.get(row.part.job_id, (row.part.job, NOTHING))
        found[row.part.job_id] = (job, quantity + row.quantity)
    return list(found.values())
