"""What is written down of goods that went otherwise: who, when, why, how much, and whom it is told to."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

import pytest
import time_machine
from django.contrib.auth.models import User
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.models import GoodsNote, Job, PurchaseLine, PurchaseOrder, Receipt, StockLevel, StockMovement
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
from shop.parts.receiving import ReceiptError, close_line, receive
from shop.parts.service import place_order
from tests.shop import factories

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 6, 3, 12, tzinfo=timezone.get_default_timezone())


@pytest.fixture
def buyer() -> User:
    return factories.staff("buyer", name="kim")


def ordered(quantity: int = 4, **changes: object) -> tuple[Job, PurchaseLine]:
    found = factories.evaluation(parts=(factories.part(quantity=Decimal(quantity), **changes),))
    job = factories.job(found, state="deposit_in")
    return job, place_order(supplier="northwheel", by=None).lines.get()


def came(line: PurchaseLine, quantity: int, by: User | None = None, **more: object) -> Receipt:
    return receive(order_id=line.order_id, quantities={line.pk: Decimal(quantity)}, by=by, **more)  # type: ignore[arg-type]


def wrong(
    line: PurchaseLine, what: str, quantity: int, then: str, by: User | None = None, **more: str
) -> GoodsNote:
    press = more.pop("press", f"{what}{quantity}{then}")
    told = Trouble(what=what, quantity=Decimal(quantity), then=then, **more)
    return note_trouble(order_id=line.order_id, line_id=line.pk, trouble=told, by=by, press=press)


def shelf() -> Decimal:
    return StockLevel.objects.get(sku="wheel-a").quantity


def looked_at(cause: str) -> set[int]:
    """Return the jobs that were promised a look for this reason."""
    rows = OutboxEntry.objects.filter(kind="parts_progress", key__endswith=f":{cause}")
    return {row.payload["job_id"] for row in rows}


def test_a_receipt_is_written_down_whole(buyer: User) -> None:
    job, line = ordered()
    receipt = came(line, 6, buyer, press="k", delivery_note="x" * 70, surplus="keep")
    assert came(line, 6, buyer, press="k", delivery_note="x" * 70, surplus="keep") == receipt
    with pytest.raises(ReceiptError, match="sent before with something else in it"):
        came(line, 1, buyer, press="k")
    assert (receipt.by, receipt.delivery_note, receipt.order) == (buyer, "x" * 60, line.order)
    assert [(row.line, row.quantity) for row in receipt.lines.all()] == [(line, 4)]
    note = GoodsNote.objects.get()
    assert (note.what, note.quantity, note.by, note.receipt, note.press) == ("kept", 2, buyer, receipt, "k")
    move = StockMovement.objects.get()
    assert (move.quantity, move.reason, move.by, move.note) == (6, "received", buyer, line.order.number)
    assert looked_at(f"receipt-{receipt.pk}") == {job.pk}
    assert PurchaseOrder.objects.get().state == "closed"


def test_what_comes_too_many_and_goes_back_never_lies_on_the_shelf(buyer: User) -> None:
    _job, line = ordered()
    came(line, 3, buyer)
    assert PurchaseOrder.objects.get().state == "part received"
    came(line, 3, buyer, surplus="back")
    note = GoodsNote.objects.get()
    assert (note.what, note.quantity, shelf()) == ("surplus back", 2, 4)
    came(line, 1, buyer, surplus="back")
    # All of it beyond the order: nothing was received, nothing moves.
    assert (shelf(), StockMovement.objects.count()) == (4, 2)


def test_a_receipt_that_cannot_be_says_which_line() -> None:
    _job, line = ordered(unit="g", quantity=60)
    for quantity, said in ((61, "Only 60 g are still open on this line."), (-1, "cannot be negative")):
        with pytest.raises(ReceiptError) as refusal:
            came(line, quantity)
        assert said in refusal.value.lines[line.pk]
        assert ("If more came than was ordered" in str(refusal.value)) == (quantity > 0)
    with pytest.raises(ReceiptError, match=r"^That line is not on this order\.$"):
        receive(order_id=line.order_id, quantities={line.pk + 1: Decimal(1)}, by=None)
    with pytest.raises(ReceiptError, match=r"^Enter the quantity that came"):
        came(line, 0)
    assert not Receipt.objects.exists()
    line.unit = "each"
    line.save()
    with pytest.raises(ReceiptError) as refusal:
        came(line, 61)
    assert refusal.value.lines == {line.pk: "Only 60 are still open on this line."}


def test_the_rest_that_is_not_coming_needs_a_reason_and_a_rest() -> None:
    job, line = ordered()
    with pytest.raises(ReceiptError) as refusal:
        close_line(order_id=line.order_id, line_id=line.pk, why=" ")
    assert (
        refusal.value.lines == {line.pk: str(refusal.value)} == {line.pk: "Say why the rest is not coming."}
    )
    closed = close_line(order_id=line.order_id, line_id=line.pk, why=f" {'x' * 250} ")
    assert (closed.not_coming, closed.open, PurchaseOrder.objects.get().state) == ("x" * 200, 0, "closed")
    assert looked_at(f"closed-{line.pk}") == {job.pk}
    with pytest.raises(ReceiptError) as refusal:
        close_line(order_id=line.order_id, line_id=line.pk, why="again")
    assert refusal.value.lines == {line.pk: "Nothing is open on this line."}
    assert str(refusal.value) == "Nothing is open on this line."


def test_undoing_a_receipt_is_written_down_and_takes_what_was_kept_too(buyer: User) -> None:
    job, line = ordered()
    receipt = came(line, 6, buyer, surplus="keep")
    with pytest.raises(GoodsError, match=r"^Say why it is undone\.$") as refusal:
        undo_receipt(receipt_id=receipt.pk, why=" ", by=buyer)
    assert refusal.value.field == "why"
    with time_machine.travel(NOON, tick=False):
        assert undo_receipt(receipt_id=receipt.pk, why=f" {'x' * 250}", by=buyer)
    receipt.refresh_from_db()
    assert (receipt.undone_at, receipt.undone_by, receipt.undone_why) == (NOON, buyer, "x" * 200)
    move = StockMovement.objects.get(reason="undone")
    assert (move.quantity, move.by, move.note) == (-6, buyer, line.order.number)
    line.refresh_from_db()
    assert (line.received, line.open, PurchaseOrder.objects.get().state) == (0, 4, "placed")
    assert looked_at(f"undone-{receipt.pk}") == {job.pk}


def test_a_receipt_of_which_some_went_back_is_not_undone(buyer: User) -> None:
    _job, line = ordered()
    receipt = came(line, 4)
    wrong(line, "returned", 1, CREDIT)
    StockLevel.objects.update(quantity=9)
    with pytest.raises(GoodsError, match="Some of it went back to the supplier already") as refusal:
        undo_receipt(receipt_id=receipt.pk, why="Another order.", by=buyer)
    assert refusal.value.field == "why"
    wrong(line, "returned", 1, COMES_AGAIN)
    with pytest.raises(GoodsError, match="Less than that was booked in on this line") as refusal:
        undo_receipt(receipt_id=receipt.pk, why="Another order.", by=buyer)
    assert refusal.value.field == "quantity"


def test_trouble_is_written_down_whole(buyer: User) -> None:
    job, line = ordered()
    came(line, 4)
    note = wrong(line, "returned", 1, CREDIT, buyer, note=f" {'x' * 250}", press="k")
    assert (note.line, note.what, note.quantity, note.by, note.press) == (line, "returned", 1, buyer, "k")
    assert (note.note, note.comes_again, note.credit_due_net) == ("x" * 200, False, 110)
    move = StockMovement.objects.get(reason="sent back")
    assert (move.quantity, move.by, move.note) == (-1, buyer, line.order.number)
    assert looked_at(f"goods-{note.pk}") == {job.pk}
    again = wrong(line, "returned", 1, COMES_AGAIN, buyer)
    assert (again.comes_again, again.credit_due_net, again.awaits_credit) == (True, None, False)
    # The same pressing on another line, or of another kind, is another note.
    assert wrong(line, "damaged", 1, COMES_AGAIN, press="k") != note
    assert wrong(line, "returned", 1, CREDIT, note="x" * 200, press="k") == note
    with pytest.raises(GoodsError, match="sent before with something else in it"):
        wrong(line, "returned", 1, CREDIT, press="k")
    line.refresh_from_db()
    assert (line.received, line.open, sendable(line)) == (3, 1, 2)


def test_what_cannot_go_back_is_refused_at_its_field() -> None:
    _job, line = ordered()
    came(line, 3, surplus="")
    with pytest.raises(GoodsError, match=r"^Only 1 are open on this line") as refusal:
        wrong(line, "damaged", 2, CREDIT)
    assert refusal.value.field == "quantity"
    with pytest.raises(GoodsError, match=r"^Only 3 of this line came") as refusal:
        wrong(line, "returned", 4, CREDIT)
    assert refusal.value.field == "quantity"
    close_line(order_id=line.order_id, line_id=line.pk, why="Discontinued.")
    with pytest.raises(GoodsError, match="nothing is expected on it") as refusal:
        wrong(line, "returned", 1, COMES_AGAIN)
    assert refusal.value.field == "then"
    StockLevel.objects.update(quantity=0)
    with pytest.raises(GoodsError, match=r"^Wheel A 8 x 18: Only 0 lie on the shelf") as refusal:
        wrong(line, "returned", 1, CREDIT)
    assert refusal.value.field == "quantity"


def test_what_never_was_booked_in_is_given_up_with_its_reason() -> None:
    job, line = ordered()
    note = wrong(line, "damaged", 1, CREDIT, note="Bent rim.")
    line.refresh_from_db()
    assert (line.given_up, line.open, looked_at(f"goods-{note.pk}")) == (1, 3, {job.pk})
    assert wrong(line, "wrong", 3, CREDIT, note="Tyres came.").line.not_coming == ""
    line.refresh_from_db()
    assert (line.not_coming, line.open) == ("Tyres came.", 0)
    _job, other = ordered()
    wrong(other, "damaged", int(other.open), CREDIT)
    other.refresh_from_db()
    assert other.not_coming == "came damaged, not booked in"


def test_credits_are_awaited_until_they_are_noted() -> None:
    _job, line = ordered(unit_cost_net=Decimal("33.335"))
    came(line, 4)
    first, second = (wrong(line, "returned", 1, CREDIT, press=press) for press in ("a", "b"))
    wrong(line, "returned", 1, COMES_AGAIN)
    assert (first.credit_due_net, credit_awaited()) == (second.credit_due_net, 2 * first.credit_due_net)
    with time_machine.travel(NOON, tick=False):
        assert note_credit(note_id=first.pk, number=f" {'9' * 70} ", amount_net=Decimal("30.00"))
    assert not note_credit(note_id=first.pk, number="CN-2", amount_net=Decimal("1.00"))
    first.refresh_from_db()
    assert (first.credit_number, first.credit_net, first.credited_at) == ("9" * 60, Decimal("30.00"), NOON)
    assert credit_awaited() == second.credit_due_net
    note_credit(note_id=second.pk, number="", amount_net=Decimal(0))
    assert credit_awaited() == 0
