"""The day's closing list, reminders, addresses and the rows for bookkeeping, whole."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from configurator.models import OutboxEntry
from shop.models import DepositReminder, Payment
from shop.money.accounts import closing
from shop.money.addresses import address_of, keep_address
from shop.money.invoices import credit_invoice, issue_invoice
from shop.money.postings import COLUMNS, postings
from shop.money.refunds import decide_refund, mark_refund_paid
from shop.money.reminders import remind_deposits
from shop.money.undoing import undo_payment
from tests.shop import factories

from .ledgers import TODAY, due, pay

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("one_day")]


def test_a_day_is_closed_by_way_of_payment(manager) -> None:
    job = due()
    paid = pay(job, Decimal("120.00"), method="cash")
    pay(job, Decimal("30.50"), method="cash")
    pay(job, Decimal("9.00"), received_on=TODAY - timedelta(days=1))
    undo_payment(payment_id=paid.pk, by=None, note="x")
    pay(job, Decimal("200.00"), method="card")
    refund = decide_refund(job_id=job.pk, amount=Decimal(10), why="x", by=manager, press="k")
    mark_refund_paid(refund_id=refund.pk, paid_on=TODAY, by=manager)
    found = closing(TODAY)
    sums = {way.name: (len(way.rows), way.total) for way in found.ways}
    assert len(sums) == len(Payment.Method)
    cash, card = Payment.Method.CASH.label, Payment.Method.CARD.label
    assert (sums.pop(str(cash)), sums.pop(str(card))) == ((3, Decimal("30.50")), (1, Decimal("200.00")))
    assert set(sums.values()) == {(0, 0)}
    assert (found.came_in, found.went_back, found.refunds) == (Decimal("230.50"), 10, (refund,))
    assert (found.before, found.after) == (date(2026, 6, 2), None)
    assert closing(TODAY - timedelta(days=1)).after == TODAY


@pytest.mark.long
def test_reminders_go_out_after_one_eight_and_fifteen_days_and_no_more() -> None:
    job = due()
    job.deposit_requests.update(due_on=TODAY)
    sent = [n for n in range(40) if remind_deposits(today=TODAY + timedelta(days=n))]
    assert sent == [1, 8, 15]
    assert list(DepositReminder.objects.order_by("step").values_list("step", flat=True)) == [1, 2, 3]
    entries = job.history.filter(action="money.deposit_reminded")
    assert [(entry.who, entry.data) for entry in entries] == [("system", {"step": n}) for n in (1, 2, 3)]
    occasions = OutboxEntry.objects.filter(payload__template="deposit_reminder").order_by("pk")
    assert [each.payload["occasion"] for each in occasions] == list(
        DepositReminder.objects.order_by("step").values_list("pk", flat=True)
    )


def test_after_an_outage_only_the_newest_reminder_goes_out() -> None:
    due().deposit_requests.update(due_on=TODAY - timedelta(days=9))
    assert [reminder.step for reminder in remind_deposits(today=TODAY)] == [2]
    assert remind_deposits(today=TODAY) == []


def test_an_address_is_kept_and_told_of_once() -> None:
    job = due()
    assert (address_of(job).name, address_of(job).country) == ("Ida Sommer", "DE")
    factories.make_workshop(country="AT")
    assert address_of(job).country == "AT"
    given = {"name": "Ida", "street": "Weg 1", "postcode": "1", "town": "Ort", "country": "DE"}
    assert keep_address(job_id=job.pk, by="customer", address=given)
    assert not keep_address(job_id=job.pk, by="customer", address=given)
    assert keep_address(job_id=job.pk, by="customer", address=given | {"street": "Weg 2"})
    assert [entry.who for entry in job.history.filter(action="money.address_given")] == ["customer"] * 2
    assert address_of(job).street == "Weg 2"


@pytest.mark.long
def test_the_books_have_every_movement_as_a_row(manager) -> None:
    factories.make_workshop(tax_number="27/123/45678")
    job = due("ready")
    keep_address(job_id=job.pk, by="customer", address={"name": "Ida", "street": "Weg 1", "postcode": "1",
                                                        "town": "Ort", "country": "DE"})  # fmt: skip
    paid = pay(job, Decimal(1190), method="card", note="desk", received_on=TODAY - timedelta(days=1))
    invoice = issue_invoice(job_id=job.pk, by=manager)
    credit = credit_invoice(invoice_id=invoice.pk, by=manager, why="Wrong name.")
    undo_payment(payment_id=paid.pk, by=manager, note="typed wrong")
    pay(job, Decimal(1200))
    refund = decide_refund(job_id=job.pk, amount=Decimal(10), why="too much", by=manager, press="k")
    mark_refund_paid(refund_id=refund.pk, paid_on=TODAY, by=manager)
    reference = job.deposit_requests.get().reference
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in postings(TODAY - timedelta(days=1), TODAY)]
    common = {"job": job.number, "currency": "EUR", "reference": reference}
    money = {"number": "", "customer": "Ida Sommer", "net": "", "tax_rate_pct": "", "tax": "", "rounding": ""}
    taxed = {"date": TODAY, "customer": "Ida", "received": 0, "tax_rate_pct": 19, "rounding": 0, "method": ""}
    expected = [
        {"date": TODAY - timedelta(days=1), "kind": "payment", "receivable": -1190, "received": 1190,
         "method": "card", "text": "desk", **money},
        {"kind": "invoice", "number": invoice.number, "receivable": 1190, "net": 1000, "tax": 190, "text": "",
         **taxed},
        {"kind": credit.kind, "number": credit.number, "receivable": -1190, "net": -1000, "tax": -190,
         "text": invoice.number, **taxed},
        {"date": TODAY, "kind": "payment undone", "receivable": 1190, "received": -1190, "method": "card",
         "text": "typed wrong", **money},
        {"date": TODAY, "kind": "payment", "receivable": -1200, "received": 1200, "method": "cash",
         "text": "", **money},
        {"date": TODAY, "kind": "refund", "receivable": 10, "received": -10, "method": "",
         "text": "too much", **money},
    ]  # fmt: skip
    assert {frozenset(row.items()) for row in rows} == {
        frozenset({**row, **common}.items()) for row in expected
    }
    assert [row["date"] for row in rows] == sorted(row["date"] for row in rows)
    assert postings(TODAY + timedelta(days=1), TODAY + timedelta(days=9)) == []
    assert all(str(row["receivable"])[-3] == "." for row in rows)
