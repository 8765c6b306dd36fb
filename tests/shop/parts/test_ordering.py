"""From need to orders to goods in: each thing once, and the jobs move on by themselves."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from shop.jobs import service as jobs
from shop.jobs.said import hold_of
from shop.models import Job, PurchaseOrder, Receipt, Reservation, StockLevel, StockMovement
from shop.parts.quantities import sku_of
from shop.parts.service import (
    NothingToOrderError,
    ReceiptError,
    StockError,
    advance,
    close_line,
    count,
    place_order,
    plan_orders,
    receive,
    reserve,
    shortages,
)
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db(transaction=True)


def open_quantities(order: PurchaseOrder) -> dict[int, Decimal]:
    return {line.pk: line.open for line in order.lines.all()}


def test_jobs_before_their_deposit_want_nothing() -> None:
    job_with(factories.part(), state="deposit_due")

    assert plan_orders() == []


def test_need_is_netted_grouped_and_rounded_to_packs() -> None:
    bolts = factories.part(
        "bolt", name="Bolt", supplier="achs", supplier_name="Achs", quantity=Decimal(18), pack_size=Decimal(5)
    )
    job_with(bolts, factories.part())
    job_with(bolts)
    StockLevel.objects.create(sku="bolt", quantity=7)

    plan = {group.code: group.needs for group in plan_orders()}

    (bolt,), (wheel,) = plan["achs"], plan["northwheel"]
    assert (bolt.wanted, bolt.free, bolt.quantity, bolt.spare) == (36, 7, 30, 1)
    assert (wheel.quantity, wheel.cost_net) == (4, Decimal("440.00"))


@pytest.mark.long
def test_two_colours_of_one_paint_are_two_things() -> None:
    red, blue = (
        factories.part("basecoat", kind="paint", unit="l", quantity=Decimal("0.30"), facts={"finish": colour})
        for colour in ("Signal red", "Deep blue")
    )
    job_with(red)
    job_with(blue)
    StockLevel.objects.create(sku=sku_of("basecoat", "paint", "Signal red"), quantity=1)

    (group,) = plan_orders()

    assert [need.part.facts["finish"] for need in group.needs] == ["Deep blue"]


def test_need_by_is_the_day_before_the_first_step_that_uses_it() -> None:
    job = job_with(factories.part(for_choices=("lacquer",), lead_time_days=5))
    start = datetime(2026, 6, 10, 8, tzinfo=timezone.get_default_timezone())
    job.operations.update(planned_start=start)
    job.operations.filter(key="lacquer").update(planned_start=start + timedelta(days=2))

    (group,) = plan_orders(today=date(2026, 6, 7))

    need = group.needs[0]
    assert (need.need_by, need.order_by, need.late) == (date(2026, 6, 11), date(2026, 6, 6), True)


@pytest.mark.long
def test_ordering_everything_moves_the_job_and_receiving_it_moves_it_again() -> None:
    job = job_with(factories.part())
    buyer = factories.staff("buyer")

    order = place_order(supplier="northwheel", by=buyer)
    job.refresh_from_db()
    assert (job.state, plan_orders()) == ("parts_on_order", [])

    receive(order_id=order.pk, quantities=open_quantities(order), by=buyer)

    job.refresh_from_db()
    order.refresh_from_db()
    assert (job.state, order.state) == ("parts_in", "closed")
    assert [entry.action for entry in job.history.all()] == [
        "job.opened",
        "job.parts_ordered",
        "job.parts_in",
    ]


@pytest.mark.long
def test_what_is_in_stock_needs_no_order() -> None:
    job = job_with(factories.part())
    StockLevel.objects.create(sku="wheel-a", quantity=4)

    advance(job_id=job.pk)

    job.refresh_from_db()
    assert job.state == "parts_in"
    with pytest.raises(NothingToOrderError):
        place_order(supplier="northwheel", by=None)


@pytest.mark.long
def test_the_deposit_coming_in_reserves_what_lies_there() -> None:
    job = job_with(factories.part(), state="deposit_due")
    StockLevel.objects.create(sku="wheel-a", quantity=3)

    jobs.deposit_received(job_id=job.pk, by="system")

    assert Reservation.objects.get().quantity == 3


@pytest.mark.long
def test_pressing_twice_orders_once() -> None:
    job_with(factories.part())

    first = place_order(supplier="northwheel", by=None, press="key")
    second = place_order(supplier="northwheel", by=None, press="key")

    assert first == second
    with pytest.raises(NothingToOrderError):
        place_order(supplier="northwheel", by=None, press="another")
    assert PurchaseOrder.objects.count() == 1


@pytest.mark.long
def test_receiving_in_part_serves_the_earlier_need_first() -> None:
    late, early = job_with(factories.part()), job_with(factories.part())
    now = timezone.now()
    late.operations.update(planned_start=now + timedelta(days=20))
    early.operations.update(planned_start=now + timedelta(days=10))
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    assert line.quantity == 8

    receive(order_id=order.pk, quantities={line.pk: Decimal(5)}, by=None, press="a")
    receive(order_id=order.pk, quantities={line.pk: Decimal(5)}, by=None, press="a")

    held = dict(Reservation.objects.values_list("part__job", "quantity"))
    assert held == {early.pk: 4, late.pk: 1}
    early.refresh_from_db()
    late.refresh_from_db()
    order.refresh_from_db()
    assert (early.state, late.state, order.state) == ("parts_in", "parts_on_order", "part received")


@pytest.mark.long
def test_too_much_or_nothing_is_refused_beside_the_line() -> None:
    job_with(factories.part())
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()

    with pytest.raises(ReceiptError) as caught:
        receive(order_id=order.pk, quantities={line.pk: Decimal(5)}, by=None)
    assert caught.value.lines == {line.pk: "Only 4 are still open on this line."}
    with pytest.raises(ReceiptError, match="at least one line"):
        receive(order_id=order.pk, quantities={line.pk: Decimal(0)}, by=None)
    with pytest.raises(ReceiptError, match="not on this order"):
        receive(order_id=order.pk, quantities={line.pk + 1: Decimal(1)}, by=None)
    assert Receipt.objects.count() == 0


@pytest.mark.long
def test_what_is_not_coming_holds_the_job_says_which_and_is_short_again() -> None:
    job = job_with(factories.part())
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()

    close_line(order_id=order.pk, line_id=line.pk, why="no longer made")

    job.refresh_from_db()
    assert hold_of(job) == "Parts short: 4\xa0× Wheel A 8 x 18 will not come as ordered"
    assert [need.quantity for need in plan_orders()[0].needs] == [4]
    place_order(supplier="northwheel", by=None)
    job.refresh_from_db()
    assert (job.is_held, shortages(job)) == (False, [])


@pytest.mark.long
def test_a_persons_hold_is_left_alone() -> None:
    job = job_with(factories.part())
    jobs.hold(job_id=job.pk, by=factories.staff("reviewer"), reason="Waiting for the customer's photos")
    order = place_order(supplier="northwheel", by=None)
    close_line(order_id=order.pk, line_id=order.lines.get().pk, why="broken")

    job.refresh_from_db()
    assert job.on_hold_reason == "Waiting for the customer's photos"


@pytest.mark.long
def test_cancelling_gives_stock_free_for_the_next_job() -> None:
    StockLevel.objects.create(sku="wheel-a", quantity=4)
    first, second = job_with(factories.part()), job_with(factories.part())
    reserve(skus=["wheel-a"])
    assert Reservation.objects.get().part.job == first

    jobs.cancel(job_id=first.pk, by="customer", why="sold the van")

    assert Reservation.objects.get().part.job == second


@pytest.mark.long
def test_starting_work_hands_the_stock_out() -> None:
    StockLevel.objects.create(sku="wheel-a", quantity=6)
    job = job_with(factories.part())
    reserve(skus=["wheel-a"])
    Job.objects.filter(pk=job.pk).update(state="booked")

    jobs.start_work(job_id=job.pk, by=factories.staff("technician"))

    part = job.parts.get()
    assert (part.issued, StockLevel.objects.get().quantity, Reservation.objects.count()) == (4, 2, 0)
    assert [m.quantity for m in StockMovement.objects.filter(part=part)] == [Decimal(-4)]


def test_counting_below_what_is_reserved_is_refused() -> None:
    StockLevel.objects.create(sku="wheel-a", quantity=4)
    job_with(factories.part())
    reserve(skus=["wheel-a"])

    with pytest.raises(StockError, match="4 are reserved"):
        count(sku="wheel-a", quantity=Decimal(3))

    count(sku="wheel-a", quantity=Decimal(9), note="found behind the lift")
    assert StockMovement.objects.get().quantity == 5
