"""An order as it is written down, row by row, and what its placing sets going."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from configurator.models import OutboxEntry, Supplier
from shop.models import Job, PurchaseOrder, StockLevel, StockMovement
from shop.parts.service import (
    NothingToOrderError,
    ReceiptError,
    close_line,
    count,
    place_order,
    receive,
    reserve,
)
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db


SUPPLIER = {
    "email": "o@n.example",
    "street": "Kanal 5",
    "postcode": "4711",
    "town": "Elsewhere",
    "country": "DE",
    "legal_name": "Northwheel ApS",
    "endpoint": "0184:DK1",
    "language": "en",
}


def promised(kind: str) -> list[dict[str, object]]:
    return list(OutboxEntry.objects.filter(kind=kind).order_by("pk").values_list("payload", flat=True))


def test_an_order_keeps_supplier_workshop_and_terms_as_they_were() -> None:
    own = factories.make_workshop(country="DE", currency="CHF")
    Supplier.objects.create(code="northwheel", name="Northwheel & Co", customer_number="K-1", **SUPPLIER)
    job_with()
    buyer = factories.staff("buyer")
    order = place_order(supplier="northwheel", by=buyer, note="x" * 600)
    assert (order.supplier, order.supplier_name, order.customer_number) == (
        "northwheel",
        "Northwheel & Co",
        "K-1",
    )
    assert order.supplier_address == SUPPLIER
    assert (order.currency, order.tax_rate_pct, order.total_net) == ("CHF", 19, Decimal("440.00"))
    assert (order.tax, order.total_gross) == (Decimal("83.60"), Decimal("523.60"))
    assert (order.placed_by, order.note, order.state) == (buyer, "x" * 500, "placed")
    assert order.deliver_to == {
        "name": own.name,
        "street": own.street,
        "postcode": own.postcode,
        "town": own.town,
        "country": "DE",
    }
    assert promised("paper")[-1] == {"kind": "purchase order", "about": order.pk}
    assert OutboxEntry.objects.filter(key=f"paper:purchase order:{order.pk}:placed").exists()


@pytest.mark.parametrize(("country", "rate"), [("DE", Decimal(19)), ("DK", None)])
def test_no_tax_is_told_to_a_supplier_abroad_and_goods_go_to_their_own_gate(
    country: str, rate: object
) -> None:
    factories.make_workshop(delivery_street="Gate 2", delivery_postcode="12346", delivery_town="Anderswo")
    Supplier.objects.create(code="northwheel", name="Northwheel", country=country)
    job_with()
    order = place_order(supplier="northwheel", by=None)
    assert order.tax_rate_pct == rate
    assert [order.deliver_to[name] for name in ("street", "postcode", "town")] == [
        "Gate 2",
        "12346",
        "Anderswo",
    ]


def test_without_records_the_order_says_what_the_parts_say() -> None:
    job_with()
    order = place_order(supplier="northwheel", by=None)
    told = (order.supplier_name, order.supplier_address, order.customer_number, order.deliver_to)
    assert told == ("Northwheel", {}, "", {})
    assert (order.tax_rate_pct, order.tax, order.total_gross) == (None, None, Decimal("440.00"))


def test_a_line_for_each_item_says_what_for_whom_and_by_when() -> None:
    facts = {"finish": "black"}
    one = job_with(factories.part("b", name="Bolt", pack_size=Decimal(5), facts=facts, lead_time_days=9))
    two = job_with(factories.part("b", name="Bolt", quantity=Decimal(3), pack_size=Decimal(5), facts=facts),
                   factories.part("a", name="Arm"))  # fmt: skip
    one.operations.update(planned_start=timezone.now() + timedelta(days=20))
    order = place_order(supplier="northwheel", by=None)
    arm, bolt = order.lines.order_by("item")
    assert {arm.position, bolt.position} == {1, 2}
    assert (bolt.item, bolt.sku, bolt.name, bolt.supplier_ref, bolt.facts) == (
        "b",
        "b",
        "Bolt",
        "NW-8018",
        facts,
    )
    assert (bolt.unit, bolt.pack_size, bolt.quantity, bolt.received) == ("each", 5, 10, 0)
    assert (bolt.unit_cost_net, bolt.amount_net) == (Decimal("110.00"), Decimal("1100.00"))
    needed = timezone.localdate(timezone.now() + timedelta(days=20)) - timedelta(days=1)
    assert (bolt.need_by, arm.need_by) == (needed, None)
    # Three of ten are over: they belong to nobody.
    assert [(row.part.job, row.quantity) for row in bolt.ordered_for.all()] == [(one, 4), (two, 3)]
    assert order.total_net == Decimal("1540.00")
    causes = OutboxEntry.objects.filter(key__endswith=f":order-{order.pk}", kind="parts_progress")
    assert sorted(entry.payload["job_id"] for entry in causes) == [one.pk, two.pk]


def test_one_pressing_is_one_order_and_two_are_two() -> None:
    job_with(factories.part("a"), factories.part("c", supplier="achs"))
    first = place_order(supplier="northwheel", by=None, press="k1")
    assert place_order(supplier="northwheel", by=None, press="k1") == first
    with pytest.raises(NothingToOrderError):
        place_order(supplier="northwheel", by=None)
    with pytest.raises(NothingToOrderError):
        place_order(supplier="northwheel", by=None, press="k2")
    job_with(factories.part("a"))
    second = place_order(supplier="northwheel", by=None)
    assert (second.pk != first.pk, second.press != first.press) == (True, True)
    assert {line.item for order in PurchaseOrder.objects.all() for line in order.lines.all()} == {"a"}
    assert PurchaseOrder.objects.get(pk=first.pk).press == "k1"


# Goods in.


def test_goods_come_in_parts_and_are_booked_once() -> None:
    job = job_with(factories.part("a"), factories.part("b", unit="m"))
    order = place_order(supplier="northwheel", by=None)
    a, b = (order.lines.get(item=item) for item in "ab")
    clerk = factories.staff("buyer")
    got = receive(order_id=order.pk, quantities={a.pk: Decimal(3), b.pk: Decimal(0)}, by=clerk, press="k",
                  delivery_note="L" * 70)  # fmt: skip
    again = {"order_id": order.pk, "quantities": {a.pk: Decimal(3)}, "by": clerk, "press": "k"}
    assert receive(**again, delivery_note="L" * 70) == got
    assert (got.by, got.press, got.delivery_note, got.order) == (clerk, "k", "L" * 60, order)
    assert [(row.line, row.quantity) for row in got.lines.all()] == [(a, 3)]
    moved = StockMovement.objects.get()
    assert (moved.sku, moved.quantity, moved.reason, moved.by, moved.note) == (
        "a",
        3,
        "received",
        clerk,
        order.number,
    )
    order.refresh_from_db()
    assert order.state == "part received"
    assert OutboxEntry.objects.get(key__endswith=f"receipt-{got.pk}").payload == {"job_id": job.pk}
    other = receive(order_id=order.pk, quantities={a.pk: Decimal(1), b.pk: Decimal(4)}, by=None)
    assert other.press != got.press
    order.refresh_from_db()
    assert order.state == "closed"


def test_what_cannot_have_come_is_said_line_by_line() -> None:
    job_with(
        factories.part("a"), factories.part("b", unit="m", quantity=Decimal("2.50"), pack_size=Decimal("0.5"))
    )
    order = place_order(supplier="northwheel", by=None)
    a, b = (order.lines.get(item=item) for item in "ab")

    def refused(quantities: dict[int, Decimal]) -> tuple[str, dict[int, str]]:
        with pytest.raises(ReceiptError) as refusal:
            receive(order_id=order.pk, quantities=quantities, by=None)
        return str(refusal.value), refusal.value.lines

    assert refused({a.pk: Decimal(0)}) == ("Enter the quantity that came for at least one line.", {})
    assert refused({a.pk: Decimal(5), b.pk: Decimal(3)}) == (
        "Nothing was booked: look at the lines marked below. If more came than was ordered, say what happens "
        "with it.",
        {a.pk: "Only 4 are still open on this line.", b.pk: "Only 2.5 m are still open on this line."},
    )
    assert refused({a.pk: Decimal(-1)})[1] == {a.pk: "A quantity cannot be negative."}
    assert refused({0: Decimal(1)})[0] == "That line is not on this order."
    assert not StockMovement.objects.exists()
    for why, said in ((" ", "Say why the rest is not coming."), ("gone", "Nothing is open on this line.")):
        order.lines.filter(pk=a.pk).update(received=4)
        with pytest.raises(ReceiptError) as refusal:
            close_line(order_id=order.pk, line_id=a.pk, why=why)
        assert (str(refusal.value), refusal.value.lines) == (said, {a.pk: said})


def test_the_rest_of_a_line_that_is_not_coming_has_its_job_looked_at() -> None:
    job = job_with()
    order = place_order(supplier="northwheel", by=None)
    line = close_line(order_id=order.pk, line_id=order.lines.get().pk, why=" not made any more " + "x" * 300)
    assert (line.not_coming[:17], len(line.not_coming), line.open) == ("not made any more", 200, 0)
    assert PurchaseOrder.objects.get().state == "closed"
    assert OutboxEntry.objects.get(key__endswith=f"closed-{line.pk}").payload == {"job_id": job.pk}


# The shelf.


def test_a_count_sets_the_shelf_and_says_why() -> None:
    job = job_with()
    clerk = factories.staff("buyer")
    assert count(sku="wheel-a", quantity=Decimal(6), by=clerk, note="n" * 300).quantity == 6
    moved = StockMovement.objects.get()
    assert (moved.quantity, moved.reason, moved.by, moved.note) == (6, "counted", clerk, "n" * 200)
    count(sku="wheel-a", quantity=Decimal(6), by=clerk)
    assert StockMovement.objects.count() == 1
    with pytest.raises(ValueError, match=r"^4 are reserved for jobs; give those free first"):
        count(sku="wheel-a", quantity=Decimal("3.999"))
    assert count(sku="wheel-a", quantity=Decimal(4)).quantity == 4
    assert sum(StockMovement.objects.values_list("quantity", flat=True)) == 4
    assert reserve(skus=["wheel-a"]) == set()
    job_with()
    StockLevel.objects.update(quantity=5)
    gained = reserve(skus=["wheel-a"])
    assert gained == {Job.objects.exclude(pk=job.pk).get().pk}
    StockLevel.objects.update(quantity=8)
    assert reserve(skus=["wheel-a"]) == gained
    assert reserve(skus=["wheel-a"]) == set()
