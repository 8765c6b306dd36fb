"""Whatever happens in whatever order, reservations never exceed the shelf and the ledger adds up."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from configurator.models import Item, Supplier
from shop.models import GoodsNote, Job, PurchaseLine, Receipt, Reservation, StockLevel, StockMovement
from shop.parts.buying import Typed, place_by_hand
from shop.parts.demand import open_claims
from shop.parts.goods import COMES_AGAIN, CREDIT, GoodsError, Trouble, note_trouble, undo_receipt
from shop.parts.placing import Chosen, OrderError
from shop.parts.service import (
    NothingToOrderError,
    StockError,
    count,
    free_stock,
    issue,
    place_order,
    receive,
    release,
    reserve,
)
from tests.shop import factories
from tests.shop.parts.kept import shortages_agree

SUPPLIER = "northwheel"
Z = Decimal(0)
deeds = st.lists(
    st.one_of(
        st.tuples(st.just("job"), st.integers(1, 9)),
        st.tuples(st.just("count"), st.integers(0, 12)),
        st.tuples(st.just("order"), st.just(0)),
        st.tuples(st.just("receive"), st.integers(1, 9)),
        st.tuples(st.just("release"), st.integers(0, 3)),
        st.tuples(st.just("issue"), st.integers(0, 3)),
        st.tuples(st.just("order some"), st.integers(1, 3)),
        st.tuples(st.just("buy for stock"), st.integers(1, 6)),
        st.tuples(st.just("too many, kept"), st.integers(1, 5)),
        st.tuples(st.just("too many, back"), st.integers(1, 5)),
        st.tuples(st.just("damaged"), st.integers(1, 5)),
        st.tuples(st.just("wrong"), st.integers(1, 5)),
        st.tuples(st.just("back for credit"), st.integers(1, 5)),
        st.tuples(st.just("back for another"), st.integers(1, 5)),
        st.tuples(st.just("undo"), st.integers(0, 3)),
    ),
    min_size=1,
    max_size=12,
)


def do(deed: str, number: int) -> None:
    all_jobs = list(Job.objects.order_by("pk"))
    if deed == "job":
        line = factories.part(quantity=Decimal(number), pack_size=Decimal(4))
        factories.job(factories.evaluation(parts=(line,)), state="deposit_in")
        reserve(skus=["wheel-a"])
    elif deed == "count":
        try:
            count(sku="wheel-a", quantity=Decimal(number))
        except StockError:
            return
    elif deed == "order":
        try:
            place_order(supplier=SUPPLIER, by=None)
        except NothingToOrderError:
            return
    elif deed == "receive":
        receive_some(number)
    elif deed in OTHERWISE:
        try:
            OTHERWISE[deed](number)
        except (NothingToOrderError, OrderError, GoodsError):
            return
    elif all_jobs:
        job = all_jobs[number % len(all_jobs)]
        issue(job=job) if deed == "issue" else release(job=job)


def receive_some(number: int) -> None:
    line = next((line for line in PurchaseLine.objects.all() if line.open), None)
    if line:
        receive(order_id=line.order_id, quantities={line.pk: min(Decimal(number), line.open)}, by=None)


def order_some(number: int) -> None:
    # Packs of four: fewer than a job lacks, or more.
    chosen = {"wheel-a": Chosen(Decimal(4 * number), Decimal(99))}
    place_order(supplier=SUPPLIER, by=None, chosen=chosen)


def buy_for_stock(number: int) -> None:
    other, _ = Supplier.objects.get_or_create(code="radhaus", defaults={"name": "Radhaus"})
    Item.objects.get_or_create(
        code="wheel-a",
        defaults={"name": "Wheel A 8 x 18", "supplier": other, "unit_cost": 90, "unit_price": 200},
    )
    typed = [Typed(item="wheel-a", quantity=Decimal(number))]
    place_by_hand(supplier=other, typed=typed, by=None, press=f"b{PurchaseLine.objects.count()}")


def too_many(number: int, surplus: str) -> None:
    if line := PurchaseLine.objects.filter(not_coming="").last():
        quantity = line.open + number
        receive(order_id=line.order_id, quantities={line.pk: quantity}, by=None, surplus=surplus)


def trouble(number: int, what: str, then: str) -> None:
    if line := PurchaseLine.objects.first():
        told = Trouble(what=what, quantity=Decimal(number), then=then)
        press = f"t{GoodsNote.objects.count()}"
        note_trouble(order_id=line.order_id, line_id=line.pk, trouble=told, by=None, press=press)


def undo(number: int) -> None:
    receipts = list(Receipt.objects.order_by("pk"))
    if receipts:
        undo_receipt(receipt_id=receipts[number % len(receipts)].pk, why="typed wrongly", by=None)


OTHERWISE: dict[str, Callable[[int], None]] = {
    "order some": order_some,
    "buy for stock": buy_for_stock,
    "too many, kept": lambda number: too_many(number, "keep"),
    "too many, back": lambda number: too_many(number, "back"),
    "damaged": lambda number: trouble(number, "damaged", COMES_AGAIN),
    "wrong": lambda number: trouble(number, "wrong", CREDIT),
    "back for credit": lambda number: trouble(number, "returned", CREDIT),
    "back for another": lambda number: trouble(number, "returned", COMES_AGAIN),
    "undo": undo,
}


def on_the_shelf_by_hand() -> Decimal:
    """Work out anew what all that was ever booked leaves on the shelf, from the deeds alone."""
    came = sum((row.quantity for r in Receipt.objects.filter(undone_at=None) for row in r.lines.all()), Z)
    kept = GoodsNote.objects.filter(what="kept", receipt__undone_at=None)
    gone = GoodsNote.objects.filter(what="returned")
    counted = StockMovement.objects.filter(reason="counted")
    issued = Job.objects.values_list("parts__issued", flat=True)
    return (
        came
        + sum((note.quantity for note in kept), Z)
        - sum((note.quantity for note in gone), Z)
        + sum((move.quantity for move in counted), Z)
        - sum((quantity for quantity in issued if quantity), Z)
    )


class Laws(TestCase):
    """Laws over random histories, a few of them and many."""

    @pytest.mark.long
    @settings(max_examples=6)
    @given(deeds)
    def test_laws_hold_after_every_deed(self, history: list[tuple[str, int]]) -> None:
        self.laws_hold(history)

    @pytest.mark.long
    @settings(max_examples=40)
    @given(deeds)
    def test_laws_hold_after_every_deed_of_many(self, history: list[tuple[str, int]]) -> None:
        self.laws_hold(history)

    def laws_hold(self, history: list[tuple[str, int]]) -> None:
        for deed, number in history:
            do(deed, number)
            level = StockLevel.objects.filter(sku="wheel-a").first()
            on_hand = level.quantity if level else 0
            held = sum(Reservation.objects.values_list("quantity", flat=True))
            moved = sum(StockMovement.objects.values_list("quantity", flat=True))
            assert 0 <= held <= on_hand
            assert moved == on_hand == on_the_shelf_by_hand()
            for line in PurchaseLine.objects.all():
                assert 0 <= line.received <= line.quantity
            for row in Reservation.objects.select_related("part"):
                assert 0 < row.quantity <= row.part.quantity - row.part.issued
            shortages_agree()

    @pytest.mark.long
    @settings(max_examples=6)
    @given(deeds)
    def test_after_ordering_nothing_is_lacking(self, history: list[tuple[str, int]]) -> None:
        self.nothing_is_lacking(history)

    @pytest.mark.long
    @settings(max_examples=40)
    @given(deeds)
    def test_after_ordering_nothing_is_lacking_of_many(self, history: list[tuple[str, int]]) -> None:
        self.nothing_is_lacking(history)

    def nothing_is_lacking(self, history: list[tuple[str, int]]) -> None:
        for deed, number in history:
            do(deed, number)
        do("order", 0)

        lacking = sum(claim.quantity for claim in open_claims())
        coming = sum(line.open for line in PurchaseLine.objects.all())
        assert free_stock().get("wheel-a", Decimal(0)) + coming >= lacking


pytestmark = pytest.mark.django_db
