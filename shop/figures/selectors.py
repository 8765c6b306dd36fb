"""The figures a manager looks at, each from a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db.models import Count, F, QuerySet, Sum
from django.utils import timezone

from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job, JobOperation
from shop.jobs.states import ORDER, State
from shop.money.amounts import amount_of
from shop.money.models import Ledger
from shop.parts.demand import lines_to_come
from shop.parts.models import JobPart, PurchaseLine
from shop.planning.calendar import SLOTS_PER_HOUR, WorkCalendar
from shop.planning.loading import calendar_from, places

CENT = Decimal("0.01")
UNSOLD = [state for state in State if state not in ORDER[ORDER.index(State.AGREED) :]]
WEEKS = 4
LONGEST = NEWEST = 20


@dataclass(frozen=True)
class Margin:
    """What a job leaves after its parts: net of tax, before wages and rent."""

    job: Job
    net: Decimal
    parts_cost: Decimal
    hands_on_h: float

    @property
    def margin(self) -> Decimal:
        """Net price less the cost of parts."""
        return self.net - self.parts_cost

    @property
    def per_hour(self) -> Decimal | None:
        """Margin for each hour of hands-on work."""
        if not self.hands_on_h:
            return None
        return (self.margin / Decimal(str(self.hands_on_h))).quantize(CENT)

    @property
    def pct(self) -> Decimal | None:
        """Margin in per cent of the net price."""
        return (100 * self.margin / self.net).quantize(Decimal("0.1")) if self.net else None


@dataclass(frozen=True)
class Load:
    """Planned hours against the hours there are, for one kind of place in one week."""

    kind: str
    planned_h: float
    capacity_h: float

    @property
    def pct(self) -> int:
        """Load in per cent."""
        return round(100 * self.planned_h / self.capacity_h) if self.capacity_h else 0


def states() -> list[tuple[State, int]]:
    """Return how many jobs are in each state, in order, empty states too."""
    rows = Job.objects.order_by().values("state").annotate(n=Count("pk")).values_list("state", "n")
    counts = dict(rows)
    return [(state, counts.get(state.value, 0)) for state in State]


@dataclass(frozen=True)
class Outstanding:
    """Money that was asked for and is not all here: sum and number of jobs, and the longest due."""

    total: Decimal
    jobs: int
    longest: list[Ledger]


def to_come() -> QuerySet[Ledger]:
    """Return the ledgers in which something is still to come, the longest due first."""
    asked = Ledger.objects.filter(is_open=True, is_asked=True, outstanding_cents__gt=0)
    return asked.select_related("job__revision").order_by("due_on", "job_id")


def outstanding() -> Outstanding:
    """Return what is still to come, by the ledger that the money pages and the jobs show."""
    found = to_come().aggregate(cents=Sum("outstanding_cents"), jobs=Count("pk"))
    return Outstanding(amount_of(found["cents"]), found["jobs"], list(to_come()[:LONGEST]))


@dataclass(frozen=True)
class Late:
    """Order lines whose day has come and that are not all here: how many, and the longest late."""

    count: int
    longest: list[PurchaseLine]


def parts_late(today: date) -> Late:
    """Return the order lines whose day has come and that are not all here."""
    late = lines_to_come().filter(need_by__lt=today)
    return Late(late.count(), list(late.select_related("order").order_by("need_by", "pk")[:LONGEST]))


def margins() -> tuple[list[Margin], Margin | None]:
    """Return the margins of the newest agreed jobs, and all of them together (None without jobs)."""
    # Asked by what is left out, so that the newest are read in their order and not sorted out of all.
    sold = Job.objects.exclude(state__in=UNSOLD).select_related("revision")
    jobs = list(sold.order_by("-opened_at", "-pk")[:NEWEST])
    costs: dict[int, Decimal] = defaultdict(Decimal)
    parts = JobPart.objects.filter(job__in=jobs, dropped=False)
    for job_id, cost in parts.values_list("job", F("quantity") * F("unit_cost_net")):
        costs[job_id] += cost
    rows = []
    for job in jobs:
        found = evaluation_of(job.revision)
        if found.price:
            hands = found.work.hands_on_h if found.work else 0.0
            rows.append(Margin(job, found.price.net, costs[job.pk].quantize(CENT), hands))
    if not rows:
        return [], None
    return rows, Margin(
        rows[0].job,
        sum((row.net for row in rows), Decimal(0)),
        sum((row.parts_cost for row in rows), Decimal(0)),
        sum(row.hands_on_h for row in rows),
    )


def bay_load(now: datetime) -> list[tuple[date, list[Load]]]:
    """Return for each of the coming weeks how full each kind of place is."""
    first = timezone.localdate(now) - timedelta(days=timezone.localdate(now).weekday())
    begin = datetime.combine(first, time(), timezone.get_current_timezone())
    calendar = calendar_from(begin, WEEKS * 7)
    there = _hours_by_week(calendar, first)
    planned: dict[tuple[int, str], float] = defaultdict(float)
    rows = JobOperation.objects.filter(
        planned_start__gte=begin, planned_start__lt=begin + timedelta(weeks=WEEKS), is_skipped=False
    ).exclude(job__state__in=[State.DECLINED, State.CANCELLED])
    rows = rows.order_by()
    for start, kind, hours in rows.values_list("planned_start", "resource", "hands_on_h"):
        planned[(timezone.localdate(start) - first).days // 7, kind] += hours
    counts = places()
    return [
        (
            first + timedelta(weeks=week),
            [Load(kind, planned[week, kind], there[week] * count) for kind, count in sorted(counts.items())],
        )
        for week in range(WEEKS)
    ]


def _hours_by_week(calendar: WorkCalendar, first: date) -> dict[int, float]:
    found: dict[int, float] = defaultdict(float)
    for start in calendar.starts:
        found[(timezone.localdate(start) - first).days // 7] += 1 / SLOTS_PER_HOUR
    return found
