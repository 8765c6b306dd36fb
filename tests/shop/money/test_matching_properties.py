"""Laws over random histories of payments."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shop.money.service import account, book_payment, undo_payment

from .transfers import due, state

pytestmark = pytest.mark.django_db


cents = st.integers(1, 60_000).map(lambda n: Decimal(n) / 100)
HISTORIES = st.lists(st.tuples(cents, st.booleans()), min_size=1, max_size=6)


class Laws(TestCase):
    """Laws over random histories of payments, a few of them and many."""

    @pytest.mark.long
    @hypothesis_settings(max_examples=6)
    @given(HISTORIES)
    def test_sums_are_exact_and_states_follow(self, history: list[tuple[Decimal, bool]]) -> None:
        self.sums_are_exact(history)

    @pytest.mark.long
    @hypothesis_settings(max_examples=30)
    @given(HISTORIES)
    def test_sums_are_exact_and_states_follow_in_many(self, history: list[tuple[Decimal, bool]]) -> None:
        self.sums_are_exact(history)

    def sums_are_exact(self, history: list[tuple[Decimal, bool]]) -> None:
        job, total, today = due("300.00"), Decimal(0), timezone.localdate()
        for amount, undone in history:
            paid = book_payment(job_id=job.pk, amount=amount, received_on=today, method="cash", by=None)
            total += amount
            if undone:
                undo_payment(payment_id=paid.pk, by=None, note="")
                total -= amount

        now = account(job)

        assert now.held == total
        assert now.outstanding - now.over == now.asked - total
        assert now.covered == (total >= 300)
        if now.covered:
            assert state(job) == "deposit_in"
