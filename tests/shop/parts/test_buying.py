"""An order put together by hand: what was meant, on whose terms, for whom, and what is written of it."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from configurator.models import Item, OutboxEntry, Supplier
from shop.models import Job, PurchaseOrder, StockLevel, StockMovement
from shop.parts.buying import ItemError, Typed, find_item, place_by_hand, terms
from shop.parts.placing import Chosen, NothingToOrderError, OrderError, place_order
from shop.parts.stock import StockError, count, free_stock, issue, release, reserve
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db


@pytest.fixture
def buyer() -> User:
    return factories.staff("buyer", name="kim")


@pytest.fixture
def usual() -> Supplier:
    factories.make_workshop(country="DE")
    return Supplier.objects.create(
        code="northwheel",
        name="Northwheel",
        email="o@northwheel.example",
        country="DE",
        customer_number="K-7",
    )


def item(usual: Supplier, code: str, name: str, **changes: object) -> Item:
    plain = {"supplier": usual, "unit_cost": Decimal(110), "unit_price": 200, "supplier_ref": f"NW-{code}"}
    return Item.objects.create(code=code, name=name, **{**plain, **changes})


def test_a_code_goes_before_a_number_before_a_name_before_part_of_one(usual: Supplier) -> None:
    bolt = item(usual, "bolt", "Bolt M14")
    other = item(usual, "b-2", "bolt", supplier_ref="X")
    long = item(usual, "b-3", "Long bolt", supplier_ref="Bolt M14")
    assert find_item(" BOLT ") == (bolt, "")
    assert find_item("x · Signal red ") == (other, "Signal red")
    assert find_item("Bolt M14") == (long, "")
    assert find_item("long") == (long, "")
    with pytest.raises(ItemError, match=r"^No part goes by this code, number or name\.$"):
        find_item("nothing")


def test_of_several_the_first_four_are_named(usual: Supplier) -> None:
    for n in (3, 1, 2, 4):
        item(usual, f"w{n}", f"Wheel {n}")
    four = "w1 (Wheel 1); w2 (Wheel 2); w3 (Wheel 3); w4 (Wheel 4)"
    with pytest.raises(ItemError) as refusal:
        find_item("wheel")
    assert str(refusal.value) == f"Which one? Enter the code: {four}"
    item(usual, "w5", "Wheel 5")
    with pytest.raises(ItemError) as refusal:
        find_item("wheel")
    assert str(refusal.value) == f"Which one? Enter the code: {four} …"


def test_the_last_order_there_has_the_terms_else_the_catalogue_at_the_usual_one(usual: Supplier) -> None:
    other = Supplier.objects.create(code="radhaus", name="Radhaus")
    bolt = item(usual, "bolt", "Bolt", pack_size=10)
    at_usual, elsewhere = (terms(each.code, bolt, "bolt") for each in (usual, other))
    assert (at_usual.unit_cost_net, at_usual.supplier_ref, at_usual.pack_size) == (110, "NW-bolt", 10)
    assert (elsewhere.unit_cost_net, elsewhere.supplier_ref, elsewhere.pack_size) == (None, "", 1)
    for cost, ref in ((3, "RH-1"), (4, "RH-2")):
        typed = [Typed("bolt", Decimal(1), Decimal(cost), ref)]
        place_by_hand(supplier=other, typed=typed, by=None, press=ref)
    again = terms("radhaus", bolt, "bolt")
    assert (again.unit_cost_net, again.supplier_ref, again.pack_size) == (4, "RH-2", 1)
    assert terms("northwheel", bolt, "bolt") == at_usual


def test_what_is_wrong_is_said_line_by_line_and_nothing_is_ordered(usual: Supplier) -> None:
    item(usual, "bolt", "Bolt", pack_size=10)
    item(usual, "paint", "Paint")
    typed = [
        Typed("bolt", Decimal(15)),
        Typed("nothing", Decimal(1)),
        Typed("NW-bolt", Decimal(10)),
        Typed("paint · Signal red", Decimal(1)),
        Typed("paint", Decimal(1)),
    ]
    with pytest.raises(OrderError, match=r"^Nothing was ordered") as refusal:
        place_by_hand(supplier=usual, typed=typed, by=None, press="k")
    assert refusal.value.lines == {
        "0": "Sold in packs of 10 only. Enter 10 / 20.",
        "1": "No part goes by this code, number or name.",
        "2": "This part is on the order already: put the quantities together.",
        "3": "Nothing is mixed to this colour, neither for a job nor on the shelf.",
    }
    with pytest.raises(OrderError) as refusal:
        place_by_hand(supplier=usual, typed=[Typed("bolt", Decimal(5))], by=None, press="k")
    assert refusal.value.lines == {"0": "Sold in packs of 10 only. Enter 10."}
    with pytest.raises(OrderError, match=r"^Enter at least one part with its quantity\.$"):
        place_by_hand(supplier=usual, typed=[], by=None, press="k")
    assert not PurchaseOrder.objects.exists()


def test_paint_mixed_to_a_colour_is_ordered_for_the_job_that_has_it(usual: Supplier, buyer: User) -> None:
    item(usual, "basecoat", "Base coat", unit="l")
    red = {"kind": "paint", "unit": "l", "quantity": Decimal(2), "facts": {"finish": "Signal red"}}
    job = job_with(factories.part("basecoat", name="Base coat, mixed", **red))
    job.operations.update(planned_start=datetime(2026, 6, 10, 9, tzinfo=timezone.get_default_timezone()))
    StockLevel.objects.create(sku="basecoat · Signal blue", quantity=0)
    typed = [
        Typed("basecoat · Signal red", Decimal(3), Decimal("7.005"), "RED"),
        Typed("basecoat · Signal blue", Decimal(1)),
    ]
    order = place_by_hand(supplier=usual, typed=typed, by=buyer, press="k", note="x" * 600)
    mixed, blue = order.lines.order_by("position")
    assert (mixed.sku, mixed.item, mixed.name, mixed.unit) == (
        "basecoat · Signal red",
        "basecoat",
        "Base coat",
        "l",
    )
    assert (mixed.quantity, mixed.unit_cost_net, mixed.supplier_ref) == (3, Decimal("7.005"), "RED")
    assert (mixed.facts, str(mixed.need_by)) == ({"finish": "Signal red"}, "2026-06-09")
    assert [(row.part, row.quantity) for row in mixed.ordered_for.all()] == [(job.parts.get(), 2)]
    assert (blue.unit_cost_net, blue.supplier_ref, blue.facts, blue.need_by) == (110, "NW-basecoat", {}, None)
    assert not blue.ordered_for.exists()
    assert order.total_net == mixed.amount_net + blue.amount_net
    assert (order.placed_by, order.note, order.press) == (buyer, "x" * 500, "k")
    assert (order.supplier, order.supplier_name, order.customer_number) == (
        "northwheel",
        "Northwheel",
        "K-7",
    )
    assert (order.tax_rate_pct, order.currency) == (19, "EUR")
    assert order.supplier_address["email"] == "o@northwheel.example"
    promised = OutboxEntry.objects.filter(kind="parts_progress", key__endswith=f":order-{order.pk}")
    assert [row.payload for row in promised] == [{"job_id": job.pk}]
    paper = OutboxEntry.objects.get(kind="paper", key=f"paper:purchase order:{order.pk}:placed")
    assert paper.payload == {"kind": "purchase order", "about": order.pk}


def test_a_supplier_abroad_or_unknown_has_no_tax_rate_told(usual: Supplier) -> None:
    job_with()
    abroad = place_order(supplier="northwheel", by=None)
    assert abroad.tax_rate_pct == 19
    Supplier.objects.update(country="DK")
    job_with()
    assert place_order(supplier="northwheel", by=None).tax_rate_pct is None
    Supplier.objects.all().delete()
    job_with()
    unknown = place_order(supplier="northwheel", by=None)
    assert (unknown.tax_rate_pct, unknown.supplier_address, unknown.customer_number) == (None, {}, "")
    assert unknown.supplier_name == "Northwheel"  # as the job's line has it


def test_a_choice_is_of_what_is_short_now(usual: Supplier) -> None:
    job_with(factories.part(), factories.part("bolt", name="Bolt", quantity=Decimal(20)))
    nine = Decimal(9)
    with pytest.raises(OrderError, match=r"^Enter a quantity for at least one line\.$"):
        place_order(supplier="northwheel", by=None, chosen={"wheel-a": Chosen(Decimal(0), nine)})
    with pytest.raises(OrderError) as refusal:
        place_order(
            supplier="northwheel",
            by=None,
            chosen={"tyre": Chosen(Decimal(1), nine), "wheel-a": Chosen(Decimal(4), nine, Decimal(4))},
        )
    assert list(refusal.value.lines) == ["tyre"]
    order = place_order(
        supplier="northwheel", by=None, press="k", chosen={"wheel-a": Chosen(Decimal(4), nine, Decimal(4))}
    )
    assert place_order(supplier="northwheel", by=None, press="k") == order
    assert [line.sku for line in place_order(supplier="northwheel", by=None).lines.all()] == ["bolt"]
    with pytest.raises(NothingToOrderError, match=r"^Nothing is left to order from this supplier\.$"):
        place_order(supplier="northwheel", by=None)
    with pytest.raises(NothingToOrderError):
        place_order(supplier="radhaus", by=None)


# The shelf.


def test_counting_is_written_down_and_keeps_what_is_reserved(buyer: User) -> None:
    job = job_with()
    level = count(sku="wheel-a", quantity=Decimal(6), by=buyer, note="x" * 250)
    assert (level.quantity, free_stock(), free_stock(["other"])) == (6, {"wheel-a": 2}, {})
    move = StockMovement.objects.get()
    assert (move.quantity, move.reason, move.by, move.note) == (6, "counted", buyer, "x" * 200)
    with pytest.raises(StockError, match=r"^4 are reserved for jobs"):
        count(sku="wheel-a", quantity=Decimal(3), by=buyer)
    assert count(sku="wheel-a", quantity=Decimal(4), by=buyer).quantity == 4
    # The same figure again is no movement.
    count(sku="wheel-a", quantity=Decimal(4), by=buyer)
    assert sorted(row.quantity for row in StockMovement.objects.all()) == [-2, 6]
    parts = issue(job=job, by=buyer)
    assert (parts, parts[0].issued) == ([job.parts.get()], 4)
    handed = StockMovement.objects.get(reason="issued")
    assert (handed.quantity, handed.by, handed.part) == (-4, buyer, job.parts.get())
    assert issue(job=job, by=buyer) == []
    assert free_stock() == {"wheel-a": 0}


def test_the_shelf_is_shared_by_need_and_given_free_whole() -> None:
    later, sooner = job_with(), job_with()
    for job, days in ((later, 9), (sooner, 2)):
        job.operations.update(planned_start=timezone.now() + timedelta(days=days))
    StockLevel.objects.create(sku="wheel-a", quantity=5)
    StockLevel.objects.create(sku="other", quantity=5)
    assert reserve(skus=["wheel-a"]) == {later.pk, sooner.pk}
    held = {job: job.parts.get().reservation.quantity for job in (later, sooner)}
    assert held == {sooner: 4, later: 1}
    StockLevel.objects.filter(sku="wheel-a").update(quantity=7)
    assert reserve(skus=["wheel-a"]) == {later.pk}
    assert later.parts.get().reservation.quantity == 3
    assert reserve(skus=["wheel-a", "other"]) == set()
    Job.objects.filter(pk=sooner.pk).update(state="cancelled")
    assert release(job=sooner) == {"wheel-a"}
    assert later.parts.get().reservation.quantity == 4
    assert free_stock()["wheel-a"] == 3
    assert release(job=sooner) == set()
