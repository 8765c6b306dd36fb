"""A workshop with so many jobs: every table that a staff page reads is filled as a job fills it.

``usual``: the newest 20 jobs are under way, the same work however many there were before, which are handed
over; so what a page shows more of is history. ``busy``: jobs in every state alike, so that every list goes on
for hundreds of pages.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.contrib.auth.models import User
from django.db import connection
from django.utils import timezone

from configurator.models import Spec, SpecRevision
from shop.jobs.finding import sort_name, squash
from shop.jobs.states import State
from shop.models import (
    BrokenPromise,
    Customer,
    CustomerJob,
    DateWish,
    DepositRequest,
    Fact,
    HistoryEntry,
    Job,
    JobOperation,
    JobPart,
    JobWords,
    Ledger,
    Measurement,
    Message,
    OrderedFor,
    OutgoingMail,
    Payment,
    PurchaseLine,
    PurchaseOrder,
    Reservation,
    StatementEntry,
    StatementFile,
    StockLevel,
)
from shop.money.names import payer_key
from shop.money.references import make_reference
from shop.parts.demand import WANTING
from shop.parts.shortages import mark_all
from tests.shop import factories

UNDER_WAY = 20
OPEN_STATES = [state for state in State if state not in (State.DECLINED, State.CANCELLED, State.HANDED_OVER)]
STATES = [*OPEN_STATES, State.HANDED_OVER]
GOODS, LINES, STEPS, A_DAY = 200, 8, 4, 8
OLD_ROWS, LONG_AGO = 40, timedelta(days=3000)
PAID = STATES[STATES.index(State.DEPOSIT_IN) :]
Pairs = Sequence[tuple[int, Job]]
"""Jobs, each with its place."""


def place_of(n: int, count: int, mix: str) -> int:
    """Return what a job's facts are drawn by: those under way have the same places however many there are."""
    if mix == "busy":
        return n
    return n - (count - UNDER_WAY) if n >= count - UNDER_WAY else n + UNDER_WAY


def state_of(place: int, mix: str) -> State:
    """Return where the job of this place stands."""
    if mix == "busy":
        return STATES[place % len(STATES)]
    return OPEN_STATES[place % len(OPEN_STATES)] if place < UNDER_WAY else State.HANDED_OVER


def fill(count: int, mix: str) -> None:
    """Make jobs until there are so many, in steps that memory holds."""
    begin = Job.objects.count()
    if not begin:
        _before_all()
    # Those who were under way when there were fewer jobs have been handed over since.
    if mix == "usual" and begin:
        _hand_over()
    for first in range(begin, count, 1000):
        span = range(first, min(first + 1000, count))
        places = [place_of(n, count, mix) for n in span]
        pairs = list(zip(places, _jobs(span, places, count, mix), strict=True))
        for rows in _rows_of(pairs):
            _store(rows)
    mark_all()
    if connection.vendor == "postgresql":
        # As its own housekeeping leaves the tables within minutes.
        with connection.cursor() as cursor:
            cursor.execute("VACUUM ANALYZE")


def _before_all() -> None:
    """What fills a page of every list that is not of jobs, so that there is no more to show later."""
    StockLevel.objects.bulk_create(StockLevel(sku=f"good-{n}", quantity=n % 3) for n in range(GOODS))
    PurchaseOrder.objects.bulk_create(
        PurchaseOrder(number=f"PO-S-{n}", supplier="supplier-1", supplier_name="Supplier 1",
                      state="closed", currency="EUR", total_net=440, press=f"stock{n}")
        for n in range(OLD_ROWS)
    )  # fmt: skip
    for n in range(OLD_ROWS):
        _statement(f"old-{n}")


def _hand_over() -> None:
    Job.objects.update(state=State.HANDED_OVER)
    Reservation.objects.all().delete()
    JobPart.objects.update(issued=4)
    Ledger.objects.update(outstanding_cents=0, is_open=False, held_cents=119_000)
    StatementEntry.objects.update(state="matched", waits_from=None)
    Message.objects.update(read_at=timezone.now())
    JobOperation.objects.update(done_at=timezone.now(), planned_start=None, planned_end=None)
    PurchaseLine.objects.update(received=4)
    PurchaseOrder.objects.update(state="closed")
    DateWish.objects.update(answer="taken")
    long_ago = timezone.localdate() - LONG_AGO
    Payment.objects.update(received_on=long_ago)
    StatementEntry.objects.update(booked_on=long_ago)


def _store(rows: Iterator[Any]) -> None:
    found = list(rows)
    if found:
        type(found[0]).objects.bulk_create(found)


def _jobs(span: range, places: Sequence[int], count: int, mix: str) -> list[Job]:
    kept = factories.evaluation().model_dump(mode="json")
    now = timezone.now()
    specs = Spec.objects.bulk_create(
        Spec(selection=kept["selection"], catalogue_version=1, name="Red van", digest=f"b{n}",
             share_digest=f"s{n}")
        for n in span
    )  # fmt: skip
    revisions = SpecRevision.objects.bulk_create(
        SpecRevision(
            spec=spec, number=1, selection=kept["selection"], evaluation=kept, catalogue_version=1,
            name=f"Ida Sommer{n:05d}", email=f"ida{n}@customer.example", registration=f"XB AB {n:05d}",
            phone=f"0171 55{n:06d}",
        )
        for n, spec in zip(span, specs, strict=True)
    )  # fmt: skip
    jobs = Job.objects.bulk_create(
        Job(
            number=f"K-2026-{n:05d}", spec=revision.spec, revision=revision,
            state=state_of(place, mix), state_since=now - timedelta(minutes=count - n),
            opened_at=now - timedelta(minutes=count - n), sort_name=sort_name(revision.name),
            last_who="mira", last_action="job.opened", digest=f"j{n}",
        )
        for n, place, revision in zip(span, places, revisions, strict=True)
    )  # fmt: skip
    JobWords.objects.bulk_create(JobWords(job=job, text=text_of(job)) for job in jobs)
    return jobs


def text_of(job: Job) -> str:
    """Return what a job is found by, about as long as a real one's."""
    revision = job.revision
    own = (job.number, *revision.name.split(), revision.name, revision.email, revision.registration,
           revision.phone)  # fmt: skip
    return " ".join([*(squash(fact) for fact in own), *(f"gloss{n}blackpart" for n in range(40))])


def _rows_of(pairs: Pairs) -> Iterator[Iterator[Any]]:
    yield (HistoryEntry(job=job, who="mira", action="job.opened") for _n, job in pairs)
    yield (
        Message(job=job, from_customer=True, text="Hello?", press=job.number)
        for n, job in pairs if n % 50 == 0 and not job.is_closed
    )  # fmt: skip
    yield (
        OutgoingMail(key=f"{job.number}-{k}", job=job, kind="booked", language="en", subject="Hello",
                     to=job.revision.email, text="Hello", state=OutgoingMail.State.SENT)
        for (_n, job), k in itertools.product(pairs, range(3))
    )  # fmt: skip
    yield from _customers(pairs)
    yield from _money(pairs)
    yield from _parts(pairs)
    yield from _asked(pairs)
    yield (_step(n, job, k) for (n, job), k in itertools.product(pairs, range(STEPS)))


def _asked(pairs: Pairs) -> Iterator[Iterator[Any]]:
    """What was measured, wished and broken, and is dealt with but for a few."""
    by, tenth = _somebody(), [pair for pair in pairs if pair[0] % 10 == 0]
    yield (
        Measurement(job=job, revision=job.revision, axle="front", check_id="brake_clearance", value=5,
                    uncertainty=1, margin=2, verdict="fits", by=by)
        for _n, job in pairs
    )  # fmt: skip
    yield (
        DateWish(job=job, answer="" if n % 100 == 0 and not job.is_closed else "taken") for n, job in tenth
    )
    yield (BrokenPromise(job=job, because="late", settled="kept") for _n, job in tenth)


def _customers(pairs: Pairs) -> Iterator[Iterator[Any]]:
    records = Customer.objects.bulk_create(
        Customer(name=job.revision.name, sort_name=job.sort_name) for _n, job in pairs
    )
    yield (CustomerJob(job=job, customer=record) for (_n, job), record in zip(pairs, records, strict=True))
    yield (
        Fact(customer=record, kind=kind, value=value, key=squash(value))
        for (_n, job), record in zip(pairs, records, strict=True)
        for kind, value in (("mail", job.revision.email), ("plate", job.revision.registration))
    )


def _money(pairs: Pairs) -> Iterator[Iterator[Any]]:
    today = timezone.localdate()
    yield (
        DepositRequest(
            job=job, number=1, amount=Decimal(300 + n % 10), total=Decimal(1190), currency="EUR",
            reference=make_reference(job.pk), payer_key=payer_key(job.revision.name),
            due_on=today + timedelta(days=n % 20),
        )
        for n, job in pairs
    )  # fmt: skip
    yield (
        Payment(job=job, amount=300, method="card", received_on=today - timedelta(days=1 + n // A_DAY))
        for n, job in pairs if job.state in PAID
    )  # fmt: skip
    yield (_ledger(n, job, today) for n, job in pairs)
    yield (
        StatementEntry(
            file=_statement(str(n // 2)), key=job.number, booked_on=today - timedelta(days=n // A_DAY % 3000),
            waits_from=None if job.is_closed else today - timedelta(days=n // A_DAY % 3000),
            state="matched" if job.is_closed else "open", amount=Decimal(300 + n % 10), currency="EUR",
            other_name=job.revision.name, text=f"van {job.number} {make_reference(job.pk)[:-1]}",
        )
        for n, job in pairs if job.is_closed or n % 2
    )  # fmt: skip


def _somebody() -> User:
    return User.objects.get_or_create(username="mira")[0]


@lru_cache(maxsize=2)
def _statement(name: str) -> StatementFile:
    return StatementFile.objects.get_or_create(digest=name, name=f"{name}.xml", format="CSV")[0]


def _ledger(n: int, job: Job, today: date) -> Ledger:
    paid, asked = job.state in PAID, not job.is_closed
    due, owed = today + timedelta(days=n % 20 - 15), 100 * (300 + n % 10)
    return Ledger(
        job=job, currency="EUR", price_cents=119_000, asked_cents=owed if asked else 0,
        held_cents=119_000 if job.is_closed else 30_000 if paid else 0,
        outstanding_cents=owed if asked else 0, is_asked=asked, is_open=asked,
        **({"due_on": due, "late_from": due + timedelta(days=1)} if asked else {}),
    )  # fmt: skip


def _parts(pairs: Pairs) -> Iterator[Iterator[Any]]:
    parts = JobPart.objects.bulk_create(
        _part(n, job, k) for (n, job), k in itertools.product(pairs, range(LINES))
    )
    yield (
        Reservation(part=part, sku=part.sku, quantity=4)
        for part in parts if part.job.state in (State.PARTS_IN, State.BOOKED)
    )  # fmt: skip
    places, today = {job.pk: n for n, job in pairs}, timezone.localdate()
    bought = [part for part in parts if part.job.state in (State.PARTS_ON_ORDER, State.HANDED_OVER)]
    orders = PurchaseOrder.objects.bulk_create(
        PurchaseOrder(number=f"PO-{part.pk:08d}", supplier=part.supplier, supplier_name=part.supplier_name,
                      state="closed" if part.job.is_closed else "placed",
                      currency="EUR", total_net=440, press=f"o{part.pk}")
        for part in bought[::LINES]
    )  # fmt: skip
    lines = PurchaseLine.objects.bulk_create(
        PurchaseLine(
            order=orders[at // LINES], position=at % LINES, item=part.item, sku=part.sku, name=part.name,
            unit="each", pack_size=1, quantity=4, received=4 if part.job.is_closed else 0, unit_cost_net=110,
            amount_net=440, need_by=today + timedelta(days=(places[part.job_id] + part.position) % 30 - 3),
        )
        for at, part in enumerate(bought)
    )  # fmt: skip
    yield (OrderedFor(line=line, part=part, quantity=4) for line, part in zip(lines, bought, strict=True))


def _part(n: int, job: Job, k: int) -> JobPart:
    good = (n * LINES + k) % GOODS
    out = job.state not in WANTING[:-1] and job.state in PAID
    return JobPart(
        job=job, position=k, line_key=f"{k}", item=f"good-{good}", sku=f"good-{good}", name=f"Good {good}",
        kind="wheel", quantity=4, issued=4 if out else 0, unit="each", unit_price=200, amount=800,
        unit_cost_net=110, at_cost_of="customer", supplier=f"supplier-{good % 4}",
        supplier_name=f"Supplier {good % 4}", pack_size=1, lead_time_days=5, where="front axle",
        for_choices=["front:wheel"],
    )  # fmt: skip


def _step(n: int, job: Job, k: int) -> JobOperation:
    step = JobOperation(
        job=job, position=k, key=f"step-{k}", stage="prep", name=f"Step {k}", hands_on_h=1, resource="bay"
    )
    if job.is_closed:
        step.done_at = timezone.now()
    elif job.state in (State.PARTS_IN, State.BOOKED, State.IN_THE_BAY):
        # A workshop begins so many a day, however many wait.
        step.planned_start = timezone.now() + timedelta(days=n // 4, hours=k)
        step.planned_end = step.planned_free = step.planned_start + timedelta(hours=1)
    return step
