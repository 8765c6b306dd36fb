"""The deposit is asked for once, renewed by an amendment, and covered by what came in."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from shop.money.references import is_valid_reference, make_reference
from shop.money.service import NoPriceError, account, make_deposit_request
from tests.shop import factories

pytestmark = pytest.mark.django_db


def test_opening_a_job_asks_for_the_deposit_of_the_evaluation() -> None:
    job = factories.job(factories.evaluation(price=factories.price("1190.00", "357.00")))

    request = job.deposit_requests.get()

    assert (request.number, request.amount, request.currency) == (1, Decimal("357.00"), "EUR")
    assert request.due_on == timezone.localdate() + timedelta(days=7)
    assert request.reference == make_reference(job.pk)
    assert is_valid_reference(request.reference)


def test_the_same_deposit_is_not_asked_for_again() -> None:
    found = factories.evaluation()
    job = factories.job(found)

    assert make_deposit_request(job=job, evaluation=found) == job.deposit_requests.get()


def test_another_deposit_supersedes_and_keeps_the_old_one() -> None:
    job = factories.job(factories.evaluation(price=factories.price("1190.00", "357.00")))

    new = make_deposit_request(
        job=job, evaluation=factories.evaluation(price=factories.price("1500.00", "450.00"))
    )

    old = job.deposit_requests.get(number=1)
    assert old.superseded_at is not None
    assert (new.number, new.superseded_at, new.reference) == (2, None, old.reference)
    assert account(job).outstanding == Decimal("450.00")


def test_without_a_price_there_is_nothing_to_ask_for() -> None:
    job = factories.job()

    with pytest.raises(NoPriceError):
        make_deposit_request(job=job, evaluation=factories.evaluation(price=None))


def test_a_deposit_of_nothing_is_covered() -> None:
    assert account(factories.job(factories.evaluation(price=factories.price(deposit="0")))).covered


def test_nothing_paid_covers_nothing() -> None:
    assert not account(factories.job()).covered
