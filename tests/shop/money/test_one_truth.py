"""After crooked chains price, invoice, ledger, export and account still say the same."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from configurator.builds.evaluation import Evaluation
from configurator.models import SpecRevision, Workshop
from shop.jobs import service as jobs
from shop.models import Job, Refund, StatementEntry
from shop.money.account import account, standing
from shop.money.accounts import customer_account
from shop.money.addresses import keep_address
from shop.money.hooks import when_job_priced
from shop.money.invoices import issue_invoice
from shop.money.ledger import withdraw_refund
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund, mark_refund_paid
from tests.shop import factories

from .camt_samples import transfer
from .ledgers import DEPOSIT, FULL, pay
from .recomputing import check_books
from .test_invoices import ADDRESS
from .transfers import make_workshop, read, reference

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def workshop(db: None) -> None:
    make_workshop()
    Workshop.objects.update(tax_number="DE136695976")


def job_in(state: str) -> Job:
    job = factories.job(state=state)
    keep_address(job_id=job.pk, by="customer", address=ADDRESS)
    return job


def reprice(job: Job, total: str, deposit: str = "100.00") -> Job:
    """Have a change make another price of the job, as an agreed proposal does."""
    found: Evaluation = factories.evaluation(price=factories.price(total, deposit))
    SpecRevision.objects.filter(pk=job.revision_id).update(evaluation=found.model_dump(mode="json"))
    job = Job.objects.get(pk=job.pk)
    when_job_priced(None, job, found)
    return job


def test_a_change_that_leaves_less_than_was_taken_off_costs_nothing_and_owes_nobody(manager) -> None:
    job = job_in("in_the_bay")
    reduce_price(job_id=job.pk, amount=Decimal(1000), why="scratched", by=manager, press="a")
    job = reprice(job, "500.00")

    now = account(job)
    assert (now.price, now.asked, now.over, now.outstanding) == (0, 0, 0, 0)
    assert job.ledger.price == 0

    Job.objects.update(state="ready")
    invoice = issue_invoice(job_id=job.pk, by=manager)
    assert (invoice.gross, invoice.net, invoice.tax) == (0, 0, 0)
    assert [row["gross"] for row in invoice.content["reductions"]] == ["500.00"]
    check_books(Job.objects.get())


def test_a_job_called_off_after_its_invoice_takes_the_invoice_back(manager) -> None:
    job = job_in("ready")
    invoice = issue_invoice(job_id=job.pk, by=manager)
    jobs.back_in_the_bay(job_id=job.pk, by=manager, why="a scratch")
    jobs.cancel(job_id=job.pk, by=manager, why="sold it")

    job = Job.objects.get()
    assert (account(job).owed, standing(job)) == (0, None)
    note = invoice.credits.get()
    assert (note.gross, note.content["why"]) == (FULL, "The job was called off.")
    check_books(job)


@pytest.mark.long
def test_what_is_owed_and_decided_otherwise_later_takes_its_invoice_back(manager) -> None:
    job = job_in("deposit_in")
    pay(job, DEPOSIT)
    jobs.cancel(job_id=job.pk, by=manager, why="off")
    decide_owed(job_id=job.pk, owed=DEPOSIT, why="tyres", by=manager, press="a")
    first = issue_invoice(job_id=job.pk, by=manager)
    assert first.gross == DEPOSIT

    decide_refund(job_id=job.pk, amount=Decimal(100), why="goodwill", by=manager, press="b")

    job = Job.objects.get()
    assert (account(job).owed, standing(job), first.credits.get().gross) == (Decimal(200), None, DEPOSIT)
    assert issue_invoice(job_id=job.pk, by=manager).gross == Decimal(200)
    check_books(job)


def went_out(job: Job, amount: str, day: str = "2026-03-31") -> Any:
    number = str(StatementEntry.objects.count() + 1)
    row = transfer(amount, direction="DBIT", text=reference(job), bank_reference=number, day=day)
    return read(row, number=number)[0]


@pytest.mark.long
def test_a_refund_that_was_withdrawn_is_not_the_one_that_the_bank_paid_out(manager) -> None:
    job = job_in("deposit_in")
    pay(job, Decimal(500))
    first = decide_refund(job_id=job.pk, amount=Decimal(200), why="paid twice", by=manager, press="a")
    withdraw_refund(refund_id=first.pk, by=manager, why="typed too early")
    second = decide_refund(job_id=job.pk, amount=Decimal(200), why="paid twice", by=manager, press="b")

    entry = went_out(job, "200.00")

    second.refresh_from_db()
    assert (entry.state, entry.reason) == ("matched", "refund")
    assert (second.entry, second.paid_on) == (entry, entry.booked_on)
    assert Job.objects.get().ledger.to_pay_out == 0


@pytest.mark.long
def test_the_bank_tells_of_a_refund_that_was_noted_as_paid_out_already(manager) -> None:
    job = job_in("deposit_in")
    pay(job, Decimal(500))
    refund = decide_refund(job_id=job.pk, amount=Decimal(200), why="paid twice", by=manager, press="a")
    day = timezone.localdate() - timedelta(days=2)
    mark_refund_paid(refund_id=refund.pk, paid_on=day, by=manager)

    entry = went_out(job, "200.00")

    assert (entry.state, entry.reason) == ("matched", "refund")
    refund = Refund.objects.get()
    assert (refund.entry, refund.paid_on) == (entry, day), "the first day stands"
    again = went_out(job, "200.00", day="2026-04-02")
    assert (again.state, again.reason) == ("open", "no_refund"), "one movement pays one refund"


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_first_and_the_last_day_there_is_can_be_looked_at(manager, day: str) -> None:
    client = Client()
    client.force_login(manager)
    assert client.get("/workshop/money/day/", {"day": day}).status_code == 200


@pytest.mark.long
def test_an_account_asks_for_nothing_that_nobody_was_asked_for_and_says_whose_it_is(manager) -> None:
    """Two customers of one address: one still talks about a build, the other has been asked."""
    mail = job_in("in_review").revision.email
    asked = job_in("deposit_due")
    SpecRevision.objects.filter(pk=asked.revision_id).update(name="Otto Marten")
    client = Client()
    client.force_login(manager)

    told = customer_account(mail)

    assert told is not None
    assert [(line.job, line.asked) for line in told.lines] == [(asked, DEPOSIT)]
    assert told.balance == DEPOSIT
    page = client.get("/workshop/money/customer/", {"email": mail}).text
    assert "Otto Marten, Ida Sommer" in page
