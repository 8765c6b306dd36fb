"""Whatever happens in whatever order, reservations never exceed the shelf and the ledger adds up."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shop.models import Job, Reservation, StockLevel, StockMovement
from shop.parts.demand import open_claims
from shop.parts.service import (
    NothingToOrderError,
    StockError,
    count,
    issue,
    place_order,
    receive,
    release,
    reserve,
)
from tests.shop import factories

SUPPLIER = "northwheel"
deeds = st.lists(
    st.one_of(
        st.tuples(st.just("job"), st.integers(1, 9)),
        st.tuples(st.just("count"), st.integers(0, 12)),
        st.tuples(st.just("order"), st.just(0)),
        st.tuples(st.just("receive"), st.integers(1, 9)),
        st.tuples(st.just("release"), st.integers(0, 3)),
        st.tuples(st.just("issue"), st.integers(0, 3)),
    ),
    min_size=1,
    max_size=10,
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
    elif all_jobs:
        job = all_jobs[number % len(all_jobs)]
        issue(job=job) if deed == "issue" else release(job=job)


def receive_some(number: int) -> None:
    from shop.models import PurchaseLine

    line = next((line for line in PurchaseLine.objects.all() if line.open), None)
    if line:
        receive(order_id=line.order_id, quantities={line.pk: min(Decimal(number), line.open)}, by=None)


class Laws(TestCase):
    """Laws over random histories."""

    @settings(max_examples=25)
    @given(deeds)
    def test_laws_hold_after_every_deed(self, history: list[tuple[str, int]]) -> None:
        for deed, number in history:
            do(deed, number)
            level = StockLevel.objects.filter(sku="wheel-a").first()
            on_hand = level.quantity if level else 0
            held = sum(Reservation.objects.values_list("quantity", flat=True))
            moved = sum(StockMovement.objects.values_list("quantity", flat=True))
            assert 0 <= held <= on_hand
            assert moved == on_hand
            for row in Reservation.objects.select_related("part"):
                assert 0 < row.quantity <= row.part.quantity - row.part.issued

    @settings(max_examples=25)
    @given(deeds)
    def test_after_ordering_nothing_is_lacking(self, history: list[tuple[str, int]]) -> None:
        for deed, number in history:
            do(deed, number)
        do("order", 0)

        from shop.models import PurchaseLine
        from shop.parts.service import free_stock

        lacking = sum(claim.quantity for claim in open_claims())
        coming = sum(line.open for line in PurchaseLine.objects.all())
        assert free_stock().get("wheel-a", Decimal(0)) + coming >= lacking


pytestmark = pytest.mark.django_db
