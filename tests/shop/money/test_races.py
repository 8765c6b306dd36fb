"""Many at once on PostgreSQL: money is booked, undone, refunded and invoiced once, and every ledger adds up.

Run with ``DATABASE_URL`` naming a PostgreSQL database: ``pytest -m services``.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import connection
from django.utils import timezone

from configurator.outbox import service as outbox
from shop.jobs import service as jobs
from shop.jobs.errors import JobError
from shop.models import Invoice, Job, NumberSeries, Payment, Refund
from shop.money.account import account
from shop.money.addresses import keep_address
from shop.money.invoices import credit_invoice, issue_invoice
from shop.money.ledger import PaymentError, book_payment, withdraw_refund
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund, mark_refund_paid
from shop.money.undoing import undo_payment
from tests.shop import factories, racing

from .recomputing import kept, plainly

pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]
MANY = 24
ADDRESS = {"name": "Ida Sommer", "extra": "", "street": "Am Anger 2", "postcode": "50667", "town": "Köln",
           "country": "DE", "vat_id": ""}  # fmt: skip


@pytest.fixture(autouse=True)
def _on_postgresql(monkeypatch):
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL: set DATABASE_URL")
    # Keeping promises is not what races here.
    monkeypatch.setattr(outbox, "dispatch", lambda entry_id: None)
    factories.make_workshop(tax_number="DE136695976")


def at_once(deed: Callable[[int], object], times: int = MANY) -> Counter[str]:
    return racing.at_once(racing.done(deed), times, refusals=(PaymentError, JobError))


def pay(job: Job, amount: str, **changes) -> Payment:
    form = {"received_on": timezone.localdate(), "method": "card", "by": None}
    return book_payment(job_id=job.pk, amount=Decimal(amount), **(form | changes))


def test_undoing_and_refunding_at_once_give_the_money_back_once() -> None:
    job, manager = factories.job(state="deposit_due"), factories.staff("manager")
    payment = pay(job, "300.00")

    def deed(number: int) -> object:
        if number % 2:
            return undo_payment(payment_id=payment.pk, by=manager, note="x")
        return decide_refund(
            job_id=job.pk, amount=Decimal(300), why="x", by=manager, press=f"p{number}"
        )  # fmt: skip

    at_once(deed)

    assert Payment.objects.filter(undoes=payment).count() + Refund.objects.count() == 1
    assert account(Job.objects.get()).held == 0


def test_one_job_gets_one_invoice_and_many_jobs_numbers_without_a_gap() -> None:
    found = [factories.job(state="ready") for _ in range(MANY // 2)]
    for job in found:
        keep_address(job_id=job.pk, by="customer", address=ADDRESS)

    outcomes = at_once(lambda n: issue_invoice(job_id=found[n // 2].pk, by=None))

    assert outcomes == {"done": MANY // 2, "PaymentError": MANY // 2}
    numbers = sorted(
        int(number.rpartition("-")[2]) for number in Invoice.objects.values_list("number", flat=True)
    )
    assert numbers == list(range(1, MANY // 2 + 1))
    assert NumberSeries.objects.get(series="R").last == MANY // 2


def test_a_bounce_and_the_handover_at_once_leave_a_true_ledger() -> None:
    job, reviewer = factories.job(state="ready"), factories.staff("reviewer")
    payment = pay(job, "1190.00")

    def deed(number: int) -> object:
        if number % 2:
            return undo_payment(payment_id=payment.pk, by=None, note="x", bounced=True)
        return jobs.hand_over(job_id=job.pk, by=reviewer)

    at_once(deed)

    job = Job.objects.get()
    entry = job.history.filter(action="job.handed_over").first()
    gone = job.history.get(action="money.payment_bounced")
    # Handed over without a reason only if it was paid at that moment.
    assert entry is None or entry.pk < gone.pk
    assert kept(job) == plainly(job)


@pytest.mark.parametrize("seed", range(3))
def test_random_deeds_of_many_at_once_leave_every_ledger_its_rows_sum(seed: int) -> None:
    manager = factories.staff("manager")
    found = [factories.job(state="deposit_due") for _ in range(4)]
    for job in found:
        keep_address(job_id=job.pk, by="customer", address=ADDRESS)

    def some(number: int) -> None:
        chance = random.Random(seed * 1000 + number)
        for turn in range(12):
            try:
                one_deed(chance, chance.choice(found), manager, f"{seed}-{number}-{turn}")
            except (PaymentError, JobError):
                continue

    at_once(some, times=8)

    for job in Job.objects.all():
        assert kept(job) == plainly(job)
        now = account(job)
        assert now.outstanding == 0 or now.over == 0
        if job.state in ("deposit_in", "parts_on_order", "parts_in", "booked"):
            assert now.covered
    undone = Payment.objects.exclude(undoes=None)
    assert undone.count() == undone.values("undoes").distinct().count()


def one_deed(chance: random.Random, job: Job, manager, press: str) -> None:
    """Do one thing to a job's money."""
    amount = Decimal(chance.randint(1, 90_000)) / 100
    payment = job.payments.filter(amount__gt=0).order_by("?").first()
    refund = job.refunds.order_by("?").first()
    invoice = job.invoices.filter(kind="invoice").order_by("?").first()
    deeds: list[Callable[[], object]] = [
        lambda: pay(job, str(amount), press=press),
        lambda: pay(job, str(amount), press=press),
        lambda: decide_refund(job_id=job.pk, amount=amount, why="x", by=manager, press=press),
        lambda: reduce_price(job_id=job.pk, amount=amount / 10, why="x", by=manager, press=press),
        lambda: decide_owed(job_id=job.pk, owed=amount, why="x", by=manager, press=press),
        lambda: issue_invoice(job_id=job.pk, by=manager, press=press),
    ]
    if payment:
        deeds.append(
            lambda: undo_payment(payment_id=payment.pk, by=manager, note="x", bounced=chance.random() < 0.5)
        )
    if refund:
        deeds.append(lambda: withdraw_refund(refund_id=refund.pk, by=manager, why="x"))
        deeds.append(lambda: mark_refund_paid(refund_id=refund.pk, paid_on=timezone.localdate(), by=manager))
    if invoice:
        deeds.append(lambda: credit_invoice(invoice_id=invoice.pk, by=manager, why="x"))
    if chance.random() < 0.1:
        deeds.append(lambda: jobs.cancel(job_id=job.pk, by=manager, why="x"))
    chance.choice(deeds)()
