"""Who decides about money, which money waits for somebody, and what an account has of other jobs."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from shop.money.account import account
from shop.money.epc import qr_svg
from shop.money.errors import PaymentError
from shop.money.ledger import refresh, waiting_refunds
from shop.money.models import Ledger
from shop.money.payment_code import payment_code
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_refund, mark_refund_paid
from shop.money.roles import decides
from shop.money.selectors import accounts
from tests.shop import factories

from .ledgers import due, pay

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("role", "may"), [("manager", True), ("reviewer", False), ("technician", False), ("buyer", False)]
)
def test_only_the_manager_decides(role: str, may: bool) -> None:
    assert decides(factories.staff(role)) is may


def test_a_refund_waits_until_it_is_paid_out(manager) -> None:
    job = due()
    pay(job, Decimal(300))
    first, second = (
        decide_refund(job_id=job.pk, amount=Decimal(10), why="goodwill", by=manager, press=press)
        for press in ("one", "two")
    )
    mark_refund_paid(refund_id=first.pk, paid_on=timezone.localdate(), by=manager)

    assert list(waiting_refunds()) == [second]


def test_an_account_has_nothing_of_what_goes_back_on_another_job(manager) -> None:
    one, other = due(), due()
    for job in (one, other):
        pay(job, Decimal(300))
    decide_refund(job_id=other.pk, amount=Decimal(10), why="goodwill", by=manager, press="k")

    assert {pk: now.held for pk, now in accounts([one.pk]).items()} == {one.pk: Decimal(300)}
    assert accounts([other.pk])[other.pk].held == 290


@pytest.mark.parametrize(
    ("state", "paid", "is_to_settle"),
    [("deposit_due", 0, False), ("ready", 300, False), ("cancelled", 0, False), ("handed_over", 300, True)],
)
def test_what_is_over_with_money_open_is_to_settle(state: str, paid: int, is_to_settle: bool) -> None:
    job = due()
    if paid:
        pay(job, Decimal(paid))
    job.state = state
    job.save()
    refresh(job)
    assert Ledger.objects.get(job=job).is_to_settle is is_to_settle


def test_without_a_payee_there_is_no_code_and_it_is_said_why() -> None:
    request = due().deposit_requests.get()
    request.payee = {}
    code, why = payment_code(request, Decimal(300))
    assert code is None
    assert why.startswith("No payment code: ")


def test_the_code_is_dark_on_light_whatever_it_lies_on() -> None:
    """A symbol is dark on a light ground (ISO/IEC 18004); a page in dark colours must not take that away."""
    assert 'fill="#fff"' in qr_svg("x", title="t")


def test_an_error_that_no_field_caused_names_none() -> None:
    assert (PaymentError("no").field, PaymentError("no", "amount").field) == ("", "amount")
    assert PaymentError("no").kept() == "no"
    assert PaymentError.of("day_to_come").kept() == {"reason": "day_to_come", "values": {}}


def test_what_is_taken_off_comes_off_the_price(manager) -> None:
    job = due()
    reduce_price(job_id=job.pk, amount=Decimal(119), why="goodwill", by=manager, press="k")
    assert account(job).price == 1071
