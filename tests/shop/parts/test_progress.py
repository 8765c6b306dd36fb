"""What stock and orders mean for a job: where it moves, what holds it, and in what words."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
import time_machine
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.jobs import service as jobs
from shop.jobs.said import hold_of
from shop.models import Job, PurchaseOrder, Reservation, StockLevel, StockMovement
from shop.parts.demand import open_lines
from shop.parts.placing import Chosen
from shop.parts.progress import (
    advance,
    follow_change,
    job_outlook,
    look_at_all,
    missing_parts,
    unordered,
)
from shop.parts.putting_back import put_back, surplus_parts
from shop.parts.receiving import receive
from shop.parts.service import count, issue, place_order, reserve
from shop.parts.stock import StockError
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 6, 3, 12, tzinfo=timezone.get_default_timezone())
GREASE = {"item": "grease", "name": "Grease", "unit": "g", "kind": "paint", "quantity": Decimal(60)}


@pytest.fixture(autouse=True)
def _on_the_third_of_june():
    with time_machine.travel(NOON, tick=False):
        yield


def planned(job: Job, days: int) -> date:
    """Plan all of a job's work so many days from now; return the day its parts are needed."""
    at = NOON + timedelta(days=days)
    job.operations.update(planned_start=at, planned_end=at, planned_free=at)
    return NOON.date() + timedelta(days=days - 1)


def state(job: Job) -> str:
    return Job.objects.get(pk=job.pk).state


def held(job: Job) -> str:
    return hold_of(Job.objects.get(pk=job.pk)).replace("\N{NO-BREAK SPACE}", " ")


# Where it moves.


@pytest.mark.long
def test_a_job_moves_on_when_all_is_on_order_and_when_all_is_here() -> None:
    job = job_with(factories.part("a"), factories.part("b"))
    advance(job_id=job.pk)
    assert state(job) == "deposit_in"
    order = place_order(supplier="northwheel", by=None)
    advance(job_id=job.pk)
    assert state(job) == "parts_on_order"
    assert job.history.last().who == "system"
    first, second = order.lines.order_by("position")
    receive(order_id=order.pk, quantities={first.pk: Decimal(4)}, by=None)
    advance(job_id=job.pk)
    assert (state(job), missing_parts(job=job)) == ("parts_on_order", ["4 × Wheel A 8 x 18"])
    receive(order_id=order.pk, quantities={second.pk: Decimal(4)}, by=None)
    advance(job_id=job.pk)
    assert (state(job), missing_parts(job=job)) == ("parts_in", [])
    # Reserved by the way, and by nobody else before.
    assert {each.part.job_id for each in Reservation.objects.all()} == {job.pk}


def test_from_the_shelf_a_job_goes_straight_to_parts_in() -> None:
    job = job_with()
    StockLevel.objects.create(sku="wheel-a", quantity=4)
    advance(job_id=job.pk)
    assert state(job) == "parts_in"
    # What was reserved is gone again: the job wants it anew.
    Reservation.objects.all().delete()
    StockLevel.objects.update(quantity=0)
    advance(job_id=job.pk)
    assert state(job) == "deposit_in"


@pytest.mark.long
def test_before_the_deposit_nothing_is_reserved_and_in_the_bay_it_is_handed_out() -> None:
    StockLevel.objects.create(sku="wheel-a", quantity=8)
    early, late = job_with(state="deposit_due"), job_with(state="in_the_bay")
    advance(job_id=early.pk)
    assert (state(early), Reservation.objects.count()) == ("deposit_due", 0)
    advance(job_id=late.pk)
    assert (state(late), late.parts.get().issued) == ("in_the_bay", 4)
    assert StockLevel.objects.get().quantity == 4


def test_a_daily_look_reaches_every_job_that_waits() -> None:
    waiting = [job_with(), job_with()]
    job_with(state="ready")
    StockLevel.objects.create(sku="wheel-a", quantity=4)
    assert look_at_all() == 2
    assert [state(job) for job in waiting] == ["parts_in", "deposit_in"]


@pytest.mark.long
def test_a_changed_list_is_wanted_anew() -> None:
    job = job_with(state="parts_on_order")
    follow_change(job=Job.objects.get(pk=job.pk))
    assert state(job) == "deposit_in"
    promised = OutboxEntry.objects.filter(kind="parts_progress", payload__job_id=job.pk)
    assert promised.filter(key__contains=":change-").count() == 1
    place_order(supplier="northwheel", by=None)
    for now in ("parts_on_order", "deposit_in", "booked"):
        Job.objects.filter(pk=job.pk).update(state=now)
        follow_change(job=Job.objects.get(pk=job.pk))
        assert state(job) == now
    Job.objects.filter(pk=job.pk).update(state="parts_in")
    follow_change(job=Job.objects.get(pk=job.pk))
    assert state(job) == "deposit_in"
    # What lies on the shelf is the job's at once.
    count(sku="wheel-a", quantity=Decimal(4))
    Reservation.objects.all().delete()
    Job.objects.filter(pk=job.pk).update(state="parts_in")
    follow_change(job=Job.objects.get(pk=job.pk))
    assert (state(job), Reservation.objects.count()) == ("parts_in", 1)


# What holds it.


def test_what_nobody_ordered_holds_a_job_that_is_booked_or_that_needs_it_by_now() -> None:
    job = job_with(factories.part(**GREASE))
    assert unordered(job) == ["60 g Grease"]
    planned(job, 1)
    advance(job_id=job.pk)
    assert not Job.objects.get(pk=job.pk).is_held  # needed today is not too late
    planned(job, 0)
    advance(job_id=job.pk)
    assert held(job) == "Parts short: 60 g Grease not ordered, needed 2 Jun"
    planned(job, 9)
    advance(job_id=job.pk)
    assert not Job.objects.get(pk=job.pk).is_held
    Job.objects.filter(pk=job.pk).update(state="booked")
    advance(job_id=job.pk)
    assert held(job) == "Parts short: 60 g Grease not ordered, needed 11 Jun"
    place_order(supplier="northwheel", by=None)
    advance(job_id=job.pk)
    assert (held(job), unordered(job)) == ("", [])


def test_what_is_short_holds_a_job_when_a_persons_hold_is_lifted() -> None:
    job = job_with(factories.part(**GREASE))
    manager = factories.staff("manager")
    planned(job, 0)
    jobs.hold(job_id=job.pk, by=manager, reason="Waits for the painter.")
    advance(job_id=job.pk)
    assert held(job) == "Waits for the painter."
    jobs.release(job_id=job.pk, by=manager)
    assert held(job) == "Parts short: 60 g Grease not ordered, needed 2 Jun"
    jobs.release(job_id=job.pk, by=manager)
    assert not Job.objects.get(pk=job.pk).is_held


def test_what_is_kept_for_a_job_stays_its_own_though_another_needs_it_sooner() -> None:
    job = job_with()
    StockLevel.objects.create(sku="wheel-a", quantity=4)
    advance(job_id=job.pk)
    sooner = job_with()
    planned(job, 9)
    planned(sooner, 2)
    reviewer = factories.staff("reviewer")
    jobs.book(job_id=job.pk, by=reviewer)
    jobs.unbook(job_id=job.pk, by=reviewer, why="No room.", tell=False)
    assert [each.part.job_id for each in Reservation.objects.all()] == [job.pk]
    # With the deposit gone it is free for whoever paid.
    jobs.deposit_gone(job_id=job.pk, by="system", why="bounced")
    assert [each.part.job_id for each in Reservation.objects.all()] == [sooner.pk]


def test_the_older_order_serves_first_whichever_was_entered_first() -> None:
    job, other = job_with(), job_with()
    first, second = (place_order(supplier="northwheel", by=None, chosen=chosen) for chosen in
                     ({"wheel-a": Chosen(Decimal(4), Decimal(9))}, None))  # fmt: skip
    PurchaseOrder.objects.filter(pk=first.pk).update(placed_at=NOON + timedelta(hours=1))
    assert [line.order for line in open_lines()] == [second, first]
    assert job_outlook(job)[0].expected[0].line.order == second
    assert job_outlook(other)[0].expected[0].line.order == first


# What goes back.


def handed_out(quantity: int = 4) -> Job:
    job = job_with(state="parts_in")
    count(sku="wheel-a", quantity=Decimal(quantity))
    reserve(skus=["wheel-a"])
    issue(job=job)
    return job


def test_what_is_not_needed_goes_back_and_is_written_down() -> None:
    job, buyer = handed_out(), factories.staff("buyer", name="kim")
    part = job.parts.get()
    assert surplus_parts(job) == []
    with pytest.raises(StockError, match=r"^Only what is left over can go back: 0\.$"):
        put_back(part_id=part.pk, quantity=Decimal(1), issued=Decimal(4), by=buyer)
    job.parts.update(quantity=3)
    assert surplus_parts(job) == [(part, 1)]
    job.parts.update(dropped=True)
    assert surplus_parts(job) == [(part, 4)]
    for quantity in (0, 5):
        with pytest.raises(StockError, match=r": 4\.$"):
            put_back(part_id=part.pk, quantity=Decimal(quantity), issued=Decimal(4), by=buyer)
    waits = job_with()
    assert put_back(part_id=part.pk, quantity=Decimal(3), issued=Decimal(4), by=buyer)
    assert not put_back(part_id=part.pk, quantity=Decimal(1), issued=Decimal(4), by=buyer)
    moved = StockMovement.objects.get(reason="returned")
    assert (moved.quantity, moved.part, moved.by, moved.note) == (3, part, buyer, job.number)
    entry = job.history.last()
    assert (entry.action, entry.who, entry.data) == (
        "parts.put_back",
        "kim",
        {"what": "Wheel A 8 x 18", "quantity": "3"},
    )
    assert (job.parts.get().issued, waits.parts.get().reservation.quantity) == (1, 3)
    keys = OutboxEntry.objects.filter(kind="parts_progress", key__contains=f"put-back-{part.pk}-4")
    assert [row.payload for row in keys] == [{"job_id": waits.pk}]


@pytest.mark.parametrize("off", ["cancelled", "declined"])
def test_a_job_that_is_off_needs_nothing(off: str) -> None:
    job = handed_out()
    job.state = off
    assert surplus_parts(job) == [(job.parts.get(), 4)]
