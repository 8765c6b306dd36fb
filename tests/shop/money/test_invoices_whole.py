"""An invoice and its credit note, every field; and a customer's account, line by line."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from configurator.builds.evaluation import PriceLine
from configurator.models import OutboxEntry, Workshop
from shop.models import Invoice, Job
from shop.money.accounts import customer_account
from shop.money.addresses import address_of, keep_address
from shop.money.hooks import when_job_priced
from shop.money.invoices import credit_invoice, credit_reduction, issue_invoice, why_not
from shop.money.ledger import PaymentError
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund, mark_refund_paid
from shop.money.undoing import undo_payment
from tests.shop import factories

from .ledgers import TODAY, due, pay

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("one_day")]
BUYER = {
    "name": "Ida Sommer",
    "extra": "c/o Marten",
    "street": "Am Anger 2",
    "postcode": "50667",
    "town": "Köln",
    "country": "DE",
    "vat_id": "DE136695976",
}


@pytest.fixture(autouse=True)
def workshop(db: None) -> Workshop:
    return factories.make_workshop(tax_number="27/123/45678", bic="COBADEFF")


def ready(state: str = "ready", **changes: Any) -> Job:
    line = PriceLine(
        choice="front:wheel", label="Wheels", parts=Decimal(900), labour=Decimal(0), amount=Decimal("900.00")
    )
    other = PriceLine(
        choice="grille", label="Grille", parts=Decimal(290), labour=Decimal(0), amount=Decimal("290.00")
    )
    price = factories.price().model_copy(update={"lines": (line, other)})
    parts = (
        factories.part(),
        factories.part("tape", name="Tape", unit="m", quantity=Decimal("2.50")),
        factories.part("glue", name="Glue", at_cost_of="workshop"),
        factories.part("loose", name="Loose", for_choices=()),
    )
    job = factories.job(factories.evaluation(price=price, parts=parts), state=state, **changes)
    keep_address(job_id=job.pk, by="customer", address=BUYER)
    return Job.objects.get(pk=job.pk)


def test_an_invoice_whole(manager, workshop) -> None:
    job = ready(state_since=timezone.now() - timedelta(days=2))
    pay(job, Decimal(300))
    reduce_price(job_id=job.pk, amount=Decimal(119), why="Goodwill", by=manager, press="r")
    made = issue_invoice(job_id=job.pk, by=manager, press="k")
    assert issue_invoice(job_id=job.pk, by=manager, press="k") == made
    assert (made.job, made.kind, made.corrects, made.by, made.press) == (job, "invoice", None, manager, "k")
    assert (made.issued_on, made.supplied_on, made.currency) == (TODAY, date(2026, 6, 1), "EUR")
    assert (made.net, made.tax, made.rounding, made.gross) == (900, 171, 0, 1071)
    assert (made.tax_rate_pct, made.prepaid) == (19, 300)
    assert made.content == {
        "seller": {
            "name": workshop.name,
            "legal_name": "",
            "street": workshop.street,
            "postcode": workshop.postcode,
            "town": workshop.town,
            "country": workshop.country,
            "email": workshop.email,
            "phone": workshop.phone,
            "tax_number": "27/123/45678",
            "no_tax_why": "",
            "iban": workshop.iban,
            "bic": "COBADEFF",
        },
        "buyer": BUYER,
        "job": job.number,
        "vehicle": "Red van · XB AB 12",
        "reference": job.deposit_requests.get().reference,
        "lines": [
            {
                "label": "Wheels",
                "detail": "4\xa0× Wheel A 8 x 18; 2.5\xa0m Tape",
                "gross": "900.00",
                "net": "756.30",
            },
            {"label": "Grille", "detail": "", "gross": "290.00", "net": "243.70"},
        ],
        "reductions": [{"label": "Goodwill", "detail": "", "gross": "119.00", "net": "100.00"}],
        "language": "en-gb",
        "why": "",
    }
    entry = job.history.get(action="money.invoiced")
    assert (entry.who, entry.why, entry.data) == ("mia", "", {"number": made.number, "amount": "1071.00"})
    assert OutboxEntry.objects.get(payload__template="invoice").payload["occasion"] == entry.pk


def test_after_the_handover_that_is_the_day_of_supply() -> None:
    job = ready("handed_over", handed_over_at=timezone.now() - timedelta(days=1))
    assert issue_invoice(job_id=job.pk, by=None).supplied_on == date(2026, 6, 2)


def test_a_credit_note_whole(manager) -> None:
    job = ready()
    invoice = issue_invoice(job_id=job.pk, by=manager)
    with pytest.raises(PaymentError) as refusal:
        credit_invoice(invoice_id=invoice.pk, by=manager, why=" ")
    assert (str(refusal.value), refusal.value.field) == ("Say why: the customer reads it.", "why")
    # The address is the invoice's, also when another is kept since.
    keep_address(job_id=job.pk, by="customer", address=BUYER | {"street": "Elsewhere 1"})
    made = credit_invoice(invoice_id=invoice.pk, by=manager, why=" Wrong street. ", press="k")
    assert credit_invoice(invoice_id=invoice.pk, by=manager, why="again", press="k") == made
    assert (made.kind, made.corrects, made.by, made.press) == ("credit note", invoice, manager, "k")
    assert (made.net, made.tax, made.gross, made.prepaid) == (1000, 190, 1190, 0)
    assert (made.content["buyer"], made.content["why"]) == (BUYER, "Wrong street.")
    label = f"Credit for invoice {invoice.number}"
    assert made.content["lines"] == [
        {"label": label, "detail": "Wrong street.", "gross": "1190.00", "net": "1000.00"}
    ]
    assert made.content["reductions"] == []
    entry = job.history.get(action="money.credited")
    assert (entry.who, entry.why) == ("mia", "Wrong street.")
    assert entry.data == {"number": made.number, "amount": "1190.00"}
    assert OutboxEntry.objects.get(payload__template="credit_note").payload["occasion"] == entry.pk
    for wrong, said in (
        (made, "A credit note is not taken back."),
        (invoice, "Nothing of this invoice is left to take back."),
    ):
        with pytest.raises(PaymentError) as refusal:
            credit_invoice(invoice_id=wrong.pk, by=manager, why="x", press="other")
        assert str(refusal.value) == said


def test_something_off_after_the_invoice_is_credited_up_to_what_is_left(manager) -> None:
    job = ready()
    before = reduce_price(job_id=job.pk, amount=Decimal(90), why="Goodwill", by=manager, press="a")
    assert credit_reduction(before) is None
    invoice = issue_invoice(job_id=job.pk, by=manager)
    reduce_price(job_id=job.pk, amount=Decimal(100), why="Scratch", by=manager, press="b")
    made = Invoice.objects.get(corrects=invoice)
    assert (made.gross, made.content["why"], made.by) == (100, "Scratch", manager)
    assert Invoice.objects.get(pk=invoice.pk).left == 1000


def test_what_stands_against_an_invoice_in_words(manager, workshop) -> None:
    job = factories.job()
    early = "An invoice is issued from the day the vehicle is ready, or when something is owed."
    assert why_not(job) == early
    for state, said in (("in_the_bay", early), ("cancelled", early), ("ready", "address is missing")):
        Job.objects.filter(pk=job.pk).update(state=state)
        assert said in why_not(Job.objects.get(pk=job.pk))
    keep_address(job_id=job.pk, by="customer", address=BUYER)
    job = Job.objects.get(pk=job.pk)
    assert why_not(job) == ""
    Workshop.objects.update(tax_number=" ")
    assert "tax number is missing" in why_not(job)
    Workshop.objects.update(tax_number="1")
    issue_invoice(job_id=job.pk, by=manager)
    assert why_not(job) == "There is an invoice. Take it back by a credit note to issue another."
    job.deposit_requests.update(superseded_at=timezone.now())
    assert why_not(job) == "The job has no price."


def test_what_is_owed_of_a_job_called_off_is_invoiced_by_its_lines(manager) -> None:
    job = ready("cancelled")
    decide_owed(job_id=job.pk, owed=Decimal("119.00"), why="Two hours", by=manager, press="k")
    made = issue_invoice(job_id=job.pk, by=manager)
    assert made.content["lines"] == [{"label": "Two hours", "detail": "", "gross": "119.00", "net": "100.00"}]
    assert (made.gross, made.content["reductions"]) == (119, [])
    other = ready("cancelled")
    decide_owed(job_id=other.pk, owed=Decimal("119.00"), why="Two hours", by=manager, press="l")
    other.settlements.update(lines=[["Two hours", "100.00"]])
    assert issue_invoice(job_id=other.pk, by=manager).content["lines"][0] == {
        "label": "Owed for the job that was called off",
        "detail": "Two hours",
        "gross": "119.00",
        "net": "100.00",
    }


def test_a_customers_account_line_by_line(manager) -> None:
    job = due("ready")
    paid = pay(job, Decimal("300.00"), received_on=TODAY - timedelta(days=1))
    undo_payment(payment_id=paid.pk, by=manager, note="x")
    pay(job, Decimal("1300.00"))
    first = decide_refund(job_id=job.pk, amount=Decimal("100.00"), why="x", by=manager, press="a")
    decide_refund(job_id=job.pk, amount=Decimal("5.00"), why="x", by=manager, press="b")
    mark_refund_paid(refund_id=first.pk, paid_on=TODAY, by=manager)
    found = customer_account(" IDA@customer.example ")
    assert found is not None
    assert (found.name, found.email, found.jobs) == ("Ida Sommer", "ida@customer.example", (job,))
    lines = {(line.what, line.asked, line.paid) for line in found.lines}
    assert {line for line in lines if line[1]} == {
        ("Deposit asked for", Decimal("300.00"), 0),
        ("Balance of the price", Decimal("890.00"), 0),
    }
    assert {line for line in lines if line[2] < 0} == {
        ("Payment undone", 0, Decimal("-300.00")),
        ("Refund paid out", 0, Decimal("-100.00")),
        ("Refund decided, not paid out yet", 0, Decimal("-5.00")),
    }
    assert (found.asked, found.paid, found.balance) == (1190, 1195, -5)
    assert found.lines[-1].balance == -5
    assert [line.day for line in found.lines] == sorted(line.day for line in found.lines)
    assert found.lines[0].balance == found.lines[0].asked - found.lines[0].paid
    assert (customer_account(" "), customer_account("nobody@customer.example")) == (None, None)


def test_an_account_of_a_reduced_job_and_of_one_called_off(manager) -> None:
    job = due("ready")
    reduce_price(job_id=job.pk, amount=Decimal(1000), why="Flood", by=manager, press="r")
    Job.objects.filter(pk=job.pk).update(state="parts_in")
    found = customer_account("ida@customer.example")
    assert [(line.what, line.asked) for line in found.lines] == [
        ("Deposit asked for", 300),
        ("Taken off the price", -110),
    ]
    Job.objects.filter(pk=job.pk).update(state="cancelled")
    found = customer_account("ida@customer.example")
    assert [(line.what, line.asked) for line in found.lines][1:] == [("Job called off", -300)]
    assert found.balance == 0


def test_an_address_not_given_yet_begins_with_the_customers_name() -> None:
    job = due()
    assert (address_of(job).job, address_of(job).name) == (job, "Ida Sommer")


@pytest.mark.parametrize(
    ("language", "why"), [("en-gb", "The job was changed."), ("de", "Der Auftrag wurde geändert.")]
)
def test_a_change_of_the_price_takes_the_invoice_back_in_the_customers_language(
    language: str, why: str
) -> None:
    job = ready()
    job.revision.language = language
    job.revision.save()
    invoice = issue_invoice(job_id=job.pk, by=None)
    price = factories.price()
    when_job_priced(None, job, factories.evaluation(price=price))
    assert invoice.credits.count() == 0

    more = price.model_copy(update={"total": Decimal("1309.00")})
    when_job_priced(None, Job.objects.get(pk=job.pk), factories.evaluation(price=more))

    credit = invoice.credits.get()
    assert (credit.gross, credit.by, credit.content["why"]) == (1190, None, why)
