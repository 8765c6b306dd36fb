"""What goes otherwise with goods: too many, damaged, wrong, back, a receipt undone, a credit."""

from __future__ import annotations

from decimal import Decimal

import pytest

from configurator.models import Item, Supplier
from shop.jobs import service as jobs
from shop.jobs.errors import UnmetError
from shop.models import (
    GoodsNote,
    Job,
    OrderMail,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    Reservation,
    StockLevel,
)
from shop.parts.buying import Typed, place_by_hand
from shop.parts.goods import (
    COMES_AGAIN,
    CREDIT,
    GoodsError,
    Trouble,
    credit_awaited,
    note_credit,
    note_trouble,
    sendable,
    undo_receipt,
)
from shop.parts.placing import Chosen, OrderError, place_order
from shop.parts.receiving import ReceiptError, receive
from shop.parts.sending import letter_of, send_by_mail
from shop.parts.service import issue, plan_orders
from tests.shop import factories
from tests.shop.factories import job_with
from tests.shop.parts.kept import shortages_agree

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _workshop() -> None:
    factories.make_workshop()


def come_in(job: Job) -> tuple[PurchaseOrder, PurchaseLine, Receipt]:
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    receipt = receive(order_id=order.pk, quantities={line.pk: line.quantity}, by=None)
    job.refresh_from_db()
    assert job.state == "parts_in"
    return order, line, receipt


def trouble(order: PurchaseOrder, what: str, quantity: int, then: str, press: str = "t") -> GoodsNote:
    told = Trouble(what=what, quantity=Decimal(quantity), then=then, note="rim bent")
    line = order.lines.get()
    return note_trouble(order_id=order.pk, line_id=line.pk, trouble=told, by=None, press=press)


def on_shelf() -> Decimal:
    return StockLevel.objects.get(sku="wheel-a").quantity


@pytest.mark.long
def test_a_choice_of_lines_with_an_agreed_price_is_what_is_ordered() -> None:
    job = job_with(factories.part(), factories.part("bolt", name="Bolt", quantity=Decimal(20)))
    order = place_order(
        supplier="northwheel", by=None, chosen={"wheel-a": Chosen(Decimal(6), Decimal("99.50"))}
    )
    line = order.lines.get()
    assert (line.sku, line.quantity, line.unit_cost_net, order.total_net) == (
        "wheel-a", 6, Decimal("99.50"), Decimal("597.00"),
    )  # fmt: skip
    assert [need.part.sku for group in plan_orders() for need in group.needs] == ["bolt"]
    job.refresh_from_db()
    assert job.state == "deposit_in"


def test_a_choice_made_before_somebody_else_ordered_or_of_broken_packs_is_refused() -> None:
    job_with(factories.part(pack_size=Decimal(4)))
    for chosen, word in (
        (Chosen(Decimal(6), Decimal(9)), "Enter 4 / 8."),
        (Chosen(Decimal(8), Decimal(9), seen=Decimal(12)), "changed"),
    ):
        with pytest.raises(OrderError) as caught:
            place_order(supplier="northwheel", by=None, chosen={"wheel-a": chosen})
        assert word in caught.value.lines["wheel-a"]
    assert not PurchaseOrder.objects.exists()


@pytest.mark.long
def test_everything_is_on_order_only_when_it_is() -> None:
    job = job_with()
    buyer = factories.staff("buyer")
    with pytest.raises(UnmetError, match="Not on order yet: 4 × Wheel A"):
        jobs.order_parts(job_id=job.pk, by=buyer)
    place_order(supplier="northwheel", by=None)
    job.refresh_from_db()
    assert job.state == "parts_on_order"


@pytest.mark.long
def test_what_comes_too_many_is_kept_or_goes_back() -> None:
    job_with()
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    receive(order_id=order.pk, quantities={line.pk: Decimal(6)}, by=None, surplus="keep")
    line.refresh_from_db()
    assert (line.received, on_shelf(), GoodsNote.objects.get().quantity) == (4, 6, 2)
    receive(order_id=order.pk, quantities={line.pk: Decimal(1)}, by=None, surplus="back")
    assert (on_shelf(), sendable(PurchaseLine.objects.get())) == (6, 6)


@pytest.mark.long
def test_a_receipt_undone_has_the_job_wait_again_and_twice_is_once() -> None:
    job = job_with()
    order, line, receipt = come_in(job)
    assert undo_receipt(receipt_id=receipt.pk, why="other order", by=None)
    assert not undo_receipt(receipt_id=receipt.pk, why="other order", by=None)
    job.refresh_from_db()
    order.refresh_from_db()
    line.refresh_from_db()
    assert (job.state, order.state, line.open, on_shelf()) == ("parts_on_order", "placed", 4, 0)
    assert not Reservation.objects.exists()


@pytest.mark.long
def test_a_receipt_whose_goods_are_in_the_bay_stays() -> None:
    job = job_with()
    order, _line, receipt = come_in(job)
    Job.objects.filter(pk=job.pk).update(state="in_the_bay")
    issue(job=Job.objects.get())
    with pytest.raises(GoodsError, match="Only 0 lie on the shelf"):
        undo_receipt(receipt_id=receipt.pk, why="other order", by=None)
    assert Receipt.objects.get().undone_at is None
    assert order.lines.get().received == 4


@pytest.mark.long
def test_what_goes_back_for_credit_is_to_be_ordered_anew_and_the_credit_is_awaited() -> None:
    job = job_with()
    order, _line, _receipt = come_in(job)
    first = trouble(order, "returned", 1, CREDIT)
    assert trouble(order, "returned", 1, CREDIT) == first
    job.refresh_from_db()
    assert (job.state, on_shelf(), credit_awaited()) == ("deposit_in", 3, Decimal("110.00"))
    assert [need.quantity for group in plan_orders() for need in group.needs] == [1]
    assert note_credit(note_id=first.pk, number="CN-1", amount_net=Decimal(100))
    assert not note_credit(note_id=first.pk, number="CN-2", amount_net=Decimal(1))
    assert (credit_awaited(), GoodsNote.objects.get().credit_number) == (0, "CN-1")
    with pytest.raises(GoodsError, match="Only 3"):
        trouble(order, "returned", 4, CREDIT, "again")


@pytest.mark.long
def test_what_goes_back_and_comes_again_is_expected_on_its_line() -> None:
    job = job_with()
    order, line, _receipt = come_in(job)
    trouble(order, "returned", 2, COMES_AGAIN)
    line.refresh_from_db()
    job.refresh_from_db()
    order.refresh_from_db()
    assert (line.open, job.state, order.state, plan_orders()) == (2, "parts_on_order", "part received", [])


@pytest.mark.long
@pytest.mark.parametrize("what", ["damaged", "wrong"])
def test_what_is_not_booked_in_never_lies_on_the_shelf(what: str) -> None:
    job_with()
    order = place_order(supplier="northwheel", by=None)
    trouble(order, what, 1, COMES_AGAIN)
    assert order.lines.get().open == 4
    with pytest.raises(GoodsError, match="Only 4 are open"):
        trouble(order, what, 5, CREDIT, "b")
    trouble(order, what, 4, CREDIT, "c")
    assert order.lines.get().not_coming
    assert [need.quantity for group in plan_orders() for need in group.needs] == [4]
    assert on_shelf() == 0


@pytest.mark.long
def test_a_part_of_what_was_ordered_is_given_up_and_the_rest_still_comes() -> None:
    job = job_with()
    order = place_order(supplier="northwheel", by=None)
    note = trouble(order, "damaged", 1, CREDIT)
    assert trouble(order, "damaged", 1, CREDIT) == note
    order.refresh_from_db()
    line = order.lines.get()
    assert (line.open, line.binding, order.state, note.credit_due_net) == (3, 3, "placed", 110)
    assert [need.quantity for group in plan_orders() for need in group.needs] == [1]
    shortages_agree()
    with pytest.raises(ReceiptError):
        receive(order_id=order.pk, quantities={line.pk: Decimal(4)}, by=None)
    receive(order_id=order.pk, quantities={line.pk: Decimal(3)}, by=None)
    order.refresh_from_db()
    assert (order.state, on_shelf()) == ("closed", 3)
    anew = place_order(supplier="northwheel", by=None)
    receive(order_id=anew.pk, quantities={anew.lines.get().pk: Decimal(1)}, by=None)
    job.refresh_from_db()
    assert (job.state, plan_orders()) == ("parts_in", [])
    shortages_agree()


def make_items() -> Supplier:
    usual, other = (Supplier.objects.create(code=code, name=code) for code in ("northwheel", "radhaus"))
    for code, name, ref in (("wheel-a", "Wheel A", "NW-1"), ("wheel-b", "Wheel B", "NW-1")):
        Item.objects.create(
            code=code, name=name, supplier=usual, supplier_ref=ref, unit_cost=110, unit_price=200
        )
    return other


@pytest.mark.long
def test_an_order_by_hand_serves_the_jobs_first_and_the_shelf_with_the_rest() -> None:
    other = make_items()
    job = job_with()
    typed = [Typed("wheel-a", Decimal(6), Decimal(95), "RH-7")]
    for _again in range(2):
        order = place_by_hand(supplier=other, typed=typed, by=None, press="k")
    assert PurchaseOrder.objects.get() == order
    line = order.lines.get()
    assert (line.supplier_ref, line.amount_net, line.ordered_for.get().quantity) == ("RH-7", 570, 4)
    job.refresh_from_db()
    assert (job.state, plan_orders()) == ("parts_on_order", [])
    # The terms agreed once are proposed the next time.
    again = place_by_hand(supplier=other, typed=[Typed("wheel-a", Decimal(1))], by=None, press="l")
    assert (again.lines.get().unit_cost_net, again.lines.get().supplier_ref) == (95, "RH-7")


def test_two_goods_with_one_supplier_number_are_both_named() -> None:
    other = make_items()
    typed = [
        Typed("NW-1", Decimal(1), Decimal(1)),
        Typed("nothing", Decimal(1)),
        Typed("wheel-b", Decimal(1)),
    ]
    with pytest.raises(OrderError) as caught:
        place_by_hand(supplier=other, typed=typed, by=None, press="k")
    assert "wheel-a (Wheel A); wheel-b (Wheel B)" in caught.value.lines["0"]
    assert caught.value.lines["1"] == "No part goes by this code, number or name."
    assert caught.value.lines["2"] == "Enter the price agreed: this supplier’s is not known."


@pytest.mark.long
def test_the_letter_looked_at_is_the_letter_mailed() -> None:
    Supplier.objects.create(code="northwheel", name="Northwheel", email="o@northwheel.example", language="de")
    job_with()
    order = place_order(supplier="northwheel", by=None, note="Ring at gate 2")
    letter = letter_of(order)
    assert "Bestellung" in letter.subject
    assert "Ring at gate 2" in letter.body
    send_by_mail(order_id=order.pk, by=None, press="k")
    mail = OrderMail.objects.get()
    assert (mail.subject, mail.body, mail.language) == (letter.subject, letter.body, "de")
