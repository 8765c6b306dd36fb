"""What the buyer's pages read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.paginator import Page
from django.db.models import Count, F, Max, Min, QuerySet, Sum, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from configurator.catalogue.models import Item
from shop.jobs.models import Job

from .demand import Outlook, job_parts, lines_to_come, need_dates
from .models import (
    JobPart,
    Lack,
    PurchaseLine,
    PurchaseOrder,
    Reservation,
    Shortage,
    StockLevel,
    WaitingJob,
)
from .progress import job_outlook
from .quantities import NOTHING, exactly
from .stock import free_stock

LINES = 20
"""How many lines of one supplier the page of all suppliers shows."""
JOBS = 20
"""How many waiting jobs a page shows."""
SOONEST = F("first").asc(nulls_last=True)
URGENT = (F("order_by").asc(nulls_last=True), "part__name", "sku")


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
    """Return the jobs whose parts are not all here, the longest waiting first: those a page shows."""
    rows = list(WaitingJob.objects.select_related("job")[:JOBS])
    missing: dict[int, list[str]] = {}
    short = Lack.objects.filter(job__in=[row.job_id for row in rows], missing__gt=0)
    for job_id, name in short.order_by("part__position").values_list("job", "part__name"):
        missing.setdefault(job_id, []).append(name)
    return [Waiting(row.job, row.lines, row.complete, tuple(missing.get(row.job_id, ()))) for row in rows]


@dataclass(frozen=True)
class SupplierShort:
    """What is to be ordered from one supplier, by the kept rows: in all, and the lines a page shows."""

    code: str
    name: str
    lines: int
    cost_net: Decimal
    order_by: date | None
    needs: tuple[Shortage, ...] = ()

    @property
    def late(self) -> bool:
        """Whether an item should have been ordered already."""
        return self.order_by is not None and self.order_by < timezone.localdate()

    @property
    def more(self) -> int:
        """How many lines there are beyond those shown."""
        return self.lines - len(self.needs)


def short_by_supplier() -> QuerySet[Any]:
    """Return the suppliers from whom something is to be ordered, the most urgent first."""
    rows = Shortage.objects.order_by().values("supplier")
    return rows.annotate(
        lines=Count("pk"), cents=Sum("cost_cents"), first=Min("order_by"), name=Max("part__supplier_name")
    ).order_by(SOONEST, "name", "supplier")


def suppliers_short(rows: Iterable[Mapping[str, Any]], lines: Page[Any] | None = None) -> list[SupplierShort]:
    """Return these suppliers with their most urgent lines, or with the page of them that is asked for."""
    found = list(rows)
    needs: dict[str, list[Shortage]] = {}
    for row in lines if lines is not None else _most_urgent([each["supplier"] for each in found]):
        needs.setdefault(row.supplier, []).append(row)
    return [
        SupplierShort(
            each["supplier"],
            each["name"],
            each["lines"],
            Decimal(each["cents"]) / 100,
            each["first"],
            tuple(needs.get(each["supplier"], ())),
        )
        for each in found
    ]


def short_lines(supplier: str) -> QuerySet[Shortage]:
    """Return what is to be ordered from a supplier, the most urgent first."""
    return Shortage.objects.filter(supplier=supplier).select_related("part").order_by(*URGENT)


def _most_urgent(suppliers: list[str]) -> QuerySet[Shortage]:
    place = Window(RowNumber(), partition_by=[F("supplier")], order_by=URGENT)
    rows = Shortage.objects.filter(supplier__in=suppliers).annotate(place=place).filter(place__lte=LINES)
    return rows.select_related("part").order_by("supplier", "place")


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
    coming = lines_to_come().filter(sku__in=skus).order_by().values("sku")
    sums = coming.annotate(to_come=Sum(F("quantity") - F("received") - F("given_up"))).values_list(
        "sku", "to_come"
    )
    on_order = {sku: exactly(total) for sku, total in sums}
    rows = []
    for level in levels:
        item = items.get(codes[level.sku])
        colour = level.sku.partition(" · ")[2]
        name = item.name if item else codes[level.sku]
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
