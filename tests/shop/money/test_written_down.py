"""Money as it is written down: requests and payments, whole rows with the history beside them."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.money.deposits import make_deposit_request
from shop.money.ledger import book_payment
from shop.money.payment_code import payment_code
from shop.money.undoing import undo_payment
from tests.shop import factories

from .ledgers import LONG_AGO, TODAY, due, mails, pay, refused, told

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("one_day")]


def test_a_deposit_request_is_written_whole() -> None:
    factories.make_workshop(
        name="Dull", iban="de89 3704 0044 0532 0130 00", bic="cobadeff", deposit_due_days=10
    )
    job = factories.job()
    request = job.deposit_requests.get()
    assert (request.number, request.amount, request.total, request.currency) == (1, 300, 1190, "EUR")
    assert (request.why, request.due_on) == ("30 % of the total", date(2026, 6, 13))
    assert request.payee == {"name": "Dull", "iban": "DE89370400440532013000", "bic": "COBADEFF"}
    assert request.payer_key
    dearer = factories.evaluation(price=factories.price("1200.00", "300.00"))
    again = make_deposit_request(job=job, evaluation=dearer)
    assert (again.number, again.total) == (2, 1200)
    assert make_deposit_request(job=job, evaluation=dearer) == again
    assert job.deposit_requests.get(number=1).superseded_at == timezone.now()


def test_without_a_workshop_nobody_can_be_paid_by_code() -> None:
    request = factories.job().deposit_requests.get()
    assert request.payee == {"name": "", "iban": "", "bic": ""}
    assert request.due_on == TODAY + timedelta(days=7)
    picture, why = payment_code(request, Decimal(300))
    assert (picture, why) == (None, "No payment code: The workshop’s IBAN is not valid.")


def test_a_payment_code_is_for_what_is_still_to_pay() -> None:
    factories.make_workshop()
    request = factories.job().deposit_requests.get()
    picture, why = payment_code(request, Decimal("120.50"))
    assert (why, picture is not None and "Payment code for your bank's app" in picture) == ("", True)
    assert picture != payment_code(request, Decimal("120.51"))[0]


def test_a_payment_is_written_whole_and_once(manager) -> None:
    job = due()
    form: dict[str, Any] = {"amount": Decimal("120.50"), "received_on": TODAY, "method": "card"}
    paid = book_payment(job_id=job.pk, by=manager, press="k", note="n" * 250, **form)
    assert (paid.job, paid.amount, paid.received_on, paid.method) == (job, Decimal("120.50"), TODAY, "card")
    assert (paid.by, paid.press, paid.note, paid.entry, paid.undoes) == (manager, "k", "n" * 200, None, None)
    entry = told(job, "money.payment_booked")
    assert (entry.who, entry.data) == ("mia", {"amount": "120.50", "method": "card"})
    assert book_payment(job_id=job.pk, by=None, press="k", note="n" * 250, **form) == paid
    for other in ({"amount": Decimal(1)}, {"method": "cash"}, {"received_on": TODAY - timedelta(1)}):
        said = refused(book_payment, job_id=job.pk, by=None, press="k", note="n" * 250, **(form | other))
        assert said[0].startswith("This form has already been sent, with 120.50.")
    assert refused(book_payment, job_id=job.pk, by=None, **(form | {"amount": Decimal(0)})) == (
        "Enter an amount above nothing.",
        "amount",
    )
    ahead = form | {"received_on": TODAY + timedelta(1)}
    assert refused(book_payment, job_id=job.pk, by=None, **ahead) == (
        "The day is still to come.",
        "received_on",
    )
    mistyped = form | {"received_on": date(26, 11, 2)}
    assert refused(book_payment, job_id=job.pk, by=None, **mistyped) == (LONG_AGO, "received_on")
    # Without a key each booking is its own; the system stands for nobody.
    assert pay(job).pk != pay(job).pk
    assert {payment.press for payment in job.payments.exclude(pk=paid.pk)} == {None}
    assert job.history.last().who == "system"


def test_an_undoing_is_written_whole(manager) -> None:
    job = due()
    paid = pay(job, method="card", received_on=TODAY - timedelta(days=3))
    undone = undo_payment(payment_id=paid.pk, by=manager, note="typed wrong " * 30)
    assert (undone.amount, undone.method, undone.undoes, undone.by) == (-300, "card", paid, manager)
    assert (undone.received_on, undone.note) == (paid.received_on, ("typed wrong " * 30)[:200])
    entry = told(job, "money.payment_undone")
    assert (entry.who, entry.why, entry.data) == ("mia", "typed wrong " * 30, {"amount": "300.00"})
    assert mails("payment_gone") == 0
    assert undo_payment(payment_id=paid.pk, by=manager, note="again") == undone
    assert (
        refused(undo_payment, payment_id=undone.pk, by=None, note="")[0]
        == "That row undoes another one already."
    )
    second = pay(job)
    moved = undo_payment(payment_id=second.pk, by=None, note="bounced", on=TODAY, bounced=True, tell=True)
    assert moved.received_on == TODAY
    entry = told(job, "money.payment_bounced")
    assert OutboxEntry.objects.get(payload__template="payment_gone").payload["occasion"] == entry.pk
