"""A deposit that is gone takes the job back; what was paid out does not go back twice."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from shop.jobs.said import hold_of
from shop.jobs.service import hold, release
from shop.models import Job, Payment, Refund
from shop.money import refunds
from shop.money.account import account
from shop.money.ledger import PaymentError, withdraw_refund
from shop.money.undoing import undo_payment
from shop.parts.service import place_order
from tests.shop import factories

from .ledgers import DEPOSIT, due, in_state, mails, pay

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("state", ["deposit_in", "parts_on_order", "parts_in", "booked"])
def test_a_deposit_that_is_gone_takes_the_job_back(state: str) -> None:
    job = due()
    payment = pay(job)
    Job.objects.update(state=state, booked_start=timezone.now())

    undo_payment(payment_id=payment.pk, by=None, note="bounced", bounced=True, tell=True)

    assert in_state(job) == "deposit_due"
    assert (job.deposit_paid_at, job.booked_start) == (None, None)
    assert job.history.filter(action="job.deposit_gone", why="bounced", data__booked__gt="").exists()
    assert mails("payment_gone") == 1
    pay(job)
    assert in_state(job) == "deposit_in"


@pytest.mark.parametrize(("state", "mails_sent"), [("parts_in", 0), ("booked", 1)])
def test_fixed_dates_are_never_given_up_in_silence(state: str, mails_sent: int) -> None:
    job = due()
    payment = pay(job)
    Job.objects.update(state=state, booked_start=timezone.now())
    undo_payment(payment_id=payment.pk, by=None, note="typed wrong")
    assert mails("payment_gone") == mails_sent


@pytest.mark.long
def test_what_is_on_order_for_it_is_named_as_in_question_until_the_money_is_back() -> None:
    part = factories.part(returnable=False)
    job = due()
    job = factories.job(factories.evaluation(parts=(part,)), state="deposit_due")
    payment = pay(job)
    order = place_order(supplier="northwheel", by=None)

    undo_payment(payment_id=payment.pk, by=None, note="bounced", bounced=True)
    assert in_state(job) == "deposit_due"
    assert order.number in hold_of(job)

    pay(job)
    assert in_state(job) == "deposit_in"
    assert not job.is_held


@pytest.mark.parametrize("state", ["in_the_bay", "ready"])
def test_a_vehicle_that_is_here_is_held_where_it_is(state: str) -> None:
    job = due()
    payment = pay(job)
    Job.objects.update(state=state)
    undo_payment(payment_id=payment.pk, by=None, note="bounced", bounced=True)
    assert in_state(job) == state
    assert hold_of(job).startswith("Deposit gone")


@pytest.fixture
def bounced() -> Job:
    """A job on a person's own hold, whose deposit bounced meanwhile."""
    job = due()
    payment = pay(job)
    Job.objects.update(state="in_the_bay", on_hold_reason="Waits for the painter")
    undo_payment(payment_id=payment.pk, by=None, note="bounced", bounced=True)
    in_state(job)
    return job


def test_a_persons_own_hold_stands_and_the_deposits_comes_after_it(bounced: Job) -> None:
    assert bounced.on_hold_reason == "Waits for the painter"
    release(job_id=bounced.pk, by=factories.staff("manager"))
    in_state(bounced)
    assert hold_of(bounced).startswith("Deposit gone")
    # Whoever lifts that one has decided it.
    release(job_id=bounced.pk, by=factories.staff("reviewer"))
    in_state(bounced)
    assert not bounced.is_held


def test_another_reason_for_a_hold_takes_nothing_of_what_waits(bounced: Job) -> None:
    manager = factories.staff("manager")
    hold(job_id=bounced.pk, by=manager, reason="Waits for the painter's colleague")
    release(job_id=bounced.pk, by=manager)
    in_state(bounced)
    assert hold_of(bounced).startswith("Deposit gone")


def test_what_was_paid_during_another_hold_holds_nothing_after_it(bounced: Job) -> None:
    pay(bounced)
    release(job_id=bounced.pk, by=factories.staff("manager"))
    in_state(bounced)
    assert not bounced.is_held


def test_an_overpaid_deposit_survives_the_undoing_of_what_was_too_much() -> None:
    job = due()
    pay(job)
    extra = pay(job, Decimal(50))
    undo_payment(payment_id=extra.pk, by=None, note="typed wrong")
    assert in_state(job) == "deposit_in"


def test_what_was_refunded_does_not_go_back_a_second_time(manager) -> None:
    job = due()
    payment = pay(job)
    refund = refunds.decide_refund(job_id=job.pk, amount=DEPOSIT, why="paid twice", by=manager, press="r")
    with pytest.raises(PaymentError, match="Withdraw the refund first"):
        undo_payment(payment_id=payment.pk, by=manager, note="x")

    refunds.mark_refund_paid(refund_id=refund.pk, paid_on=timezone.localdate(), by=manager)
    with pytest.raises(PaymentError, match="has gone back already"):
        undo_payment(payment_id=payment.pk, by=manager, note="x")
    assert account(job).held == 0

    # The bank took it back after it was paid out: the customer owes what they were given.
    undo_payment(payment_id=payment.pk, by=manager, note="returned", bounced=True)
    assert account(job).held == -DEPOSIT
    assert account(job).outstanding == 2 * DEPOSIT


@pytest.mark.long
def test_a_bounce_withdraws_the_refund_that_was_to_pay_it_back(manager) -> None:
    job = due()
    payment = pay(job)
    refunds.decide_refund(job_id=job.pk, amount=DEPOSIT, why="paid twice", by=manager, press="r")
    undo_payment(payment_id=payment.pk, by=None, note="returned", bounced=True)
    assert Refund.objects.get().withdrawn_at is not None
    assert account(job).held == 0
    with pytest.raises(PaymentError, match="was withdrawn"):
        refunds.mark_refund_paid(refund_id=Refund.objects.get().pk, paid_on=timezone.localdate(), by=manager)


@pytest.mark.long
def test_a_withdrawn_refund_is_held_again_and_a_paid_one_stays(manager) -> None:
    job = due()
    pay(job)
    refund = refunds.decide_refund(job_id=job.pk, amount=DEPOSIT, why="off", by=manager, press="r")
    with pytest.raises(PaymentError):
        withdraw_refund(refund_id=refund.pk, by=manager, why=" ")
    assert withdraw_refund(refund_id=refund.pk, by=manager, why="changed their mind")
    assert not withdraw_refund(refund_id=refund.pk, by=manager, why="again")
    assert account(job).held == DEPOSIT

    paid = refunds.decide_refund(job_id=job.pk, amount=DEPOSIT, why="off", by=manager, press="s")
    refunds.mark_refund_paid(refund_id=paid.pk, paid_on=timezone.localdate(), by=manager)
    with pytest.raises(PaymentError, match="paid out already"):
        withdraw_refund(refund_id=paid.pk, by=manager, why="no")


def test_a_used_key_with_other_content_is_refused_and_not_dropped(manager) -> None:
    job, other = due(), due()
    pay(job, press="k")
    assert pay(job, press="k") == Payment.objects.get()
    for changed in ({"amount": Decimal(301)}, {"method": "card"}, {"note": "x"}):
        with pytest.raises(PaymentError, match=r"already been sent, with 300\.00"):
            pay(job, **({"press": "k"} | changed))
    with pytest.raises(PaymentError):
        pay(other, press="k")
    assert Payment.objects.count() == 1

    back = {"job_id": job.pk, "why": "too much", "by": manager, "press": "r"}
    refunds.decide_refund(amount=Decimal(10), **back)
    refunds.decide_refund(amount=Decimal(10), **back)
    with pytest.raises(PaymentError, match=r"already been sent, with 10\.00"):
        refunds.decide_refund(amount=Decimal(11), **back)
    assert Refund.objects.count() == 1
