"""Invoices: when, with which number and amounts, what takes them back, and the postings they make."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone

from configurator.models import OutboxEntry, Workshop
from shop.jobs import service as jobs
from shop.models import BillingAddress, Invoice, Job
from shop.money import postings
from shop.money.account import account, standing
from shop.money.addresses import keep_address
from shop.money.invoices import credit_invoice, issue_invoice, why_not
from shop.money.ledger import PaymentError, book_payment
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund, mark_refund_paid
from shop.money.undoing import undo_payment
from tests.shop import factories

pytestmark = pytest.mark.django_db
ADDRESS = {"name": "Ida Sommer", "extra": "", "street": "Am Anger 2", "postcode": "50667", "town": "Köln",
           "country": "DE", "vat_id": ""}  # fmt: skip


@pytest.fixture(autouse=True)
def workshop(db: None) -> Workshop:
    return factories.make_workshop(tax_number="DE136695976")


def ready(state: str = "ready", **changes) -> Job:
    job = factories.job(state=state, **changes)
    keep_address(job_id=job.pk, by="customer", address=ADDRESS)
    return job


def pay(job: Job, amount: str, **changes):
    form = {"received_on": timezone.localdate(), "method": "card", "by": None}
    return book_payment(job_id=job.pk, amount=Decimal(amount), **(form | changes))


def test_the_invoice_takes_off_what_was_paid(manager) -> None:
    job = ready()
    pay(job, "300.00")

    invoice = issue_invoice(job_id=job.pk, by=manager)

    assert (invoice.net, invoice.tax, invoice.gross) == (Decimal(1000), Decimal(190), Decimal(1190))
    assert (invoice.prepaid, invoice.due) == (Decimal(300), Decimal(890))
    assert invoice.content["buyer"]["street"] == "Am Anger 2"
    assert job.history.filter(action="money.invoiced").exists()
    assert OutboxEntry.objects.filter(kind="paper", payload__about=invoice.pk).exists()


@pytest.mark.long
def test_numbers_have_no_gap_even_when_an_issue_comes_to_nothing(manager) -> None:
    first = issue_invoice(job_id=ready().pk, by=manager)
    with transaction.atomic():
        issue_invoice(job_id=ready().pk, by=manager)
        transaction.set_rollback(True)
    second = issue_invoice(job_id=ready().pk, by=manager)

    year = timezone.localdate().year
    assert [first.number, second.number] == [f"R-{year}-0001", f"R-{year}-0002"]


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda job: Job.objects.update(state="in_the_bay"), "from the day the vehicle is ready"),
        (lambda job: Workshop.objects.update(tax_number=""), "tax number is missing"),
        (lambda job: BillingAddress.objects.all().delete(), "postal address is missing"),
        (lambda job: issue_invoice(job_id=job.pk, by=None), "There is an invoice"),
    ],
)
def test_what_stands_against_an_invoice_is_said(spoil, message: str) -> None:
    job = ready()
    spoil(job)
    with pytest.raises(PaymentError, match=message):
        issue_invoice(job_id=job.pk, by=None)


def test_the_same_pressing_issues_one(manager) -> None:
    job = ready()
    assert issue_invoice(job_id=job.pk, by=manager, press="p") == issue_invoice(
        job_id=job.pk, by=manager, press="p"
    )


@pytest.mark.long
def test_handing_over_issues_it_where_the_address_is_known() -> None:
    reviewer = factories.staff("reviewer")
    with_address, without = ready(), factories.job(state="ready")
    for job in (with_address, without):
        jobs.hand_over(job_id=job.pk, by=reviewer, why="pays later")

    assert standing(with_address).supplied_on == timezone.localdate()
    assert standing(without) is None
    assert [job.ledger.is_to_invoice for job in Job.objects.order_by("pk")] == [False, True]


def test_an_issued_invoice_is_never_changed(manager) -> None:
    invoice = issue_invoice(job_id=ready().pk, by=manager)
    with pytest.raises(TypeError, match="credit note"):
        invoice.save()


def test_a_credit_note_takes_it_back_and_the_job_can_be_invoiced_anew(manager) -> None:
    job = ready()
    first = issue_invoice(job_id=job.pk, by=manager)
    with pytest.raises(PaymentError, match="Say why"):
        credit_invoice(invoice_id=first.pk, by=manager, why=" ")

    note = credit_invoice(invoice_id=first.pk, by=manager, why="wrong name", press="c")
    assert credit_invoice(invoice_id=first.pk, by=manager, why="wrong name", press="c") == note
    assert (note.gross, note.corrects, Invoice.objects.get(pk=first.pk).left) == (first.gross, first, 0)
    with pytest.raises(PaymentError, match="Nothing of this invoice is left"):
        credit_invoice(invoice_id=first.pk, by=manager, why="again")
    with pytest.raises(PaymentError, match="is not taken back"):
        credit_invoice(invoice_id=note.pk, by=manager, why="again")

    keep_address(job_id=job.pk, by=manager, address=ADDRESS | {"name": "Ida Winter"})
    second = issue_invoice(job_id=job.pk, by=manager)
    assert second.content["buyer"]["name"] == "Ida Winter"
    assert note.content["buyer"]["name"] == "Ida Sommer"


def test_goodwill_before_is_on_the_invoice_and_after_it_makes_a_credit_note(manager) -> None:
    job = ready()
    reduce_price(job_id=job.pk, amount=Decimal("119.00"), why="late", by=manager, press="a")
    invoice = issue_invoice(job_id=job.pk, by=manager)
    assert (invoice.net, invoice.gross, invoice.content["reductions"][0]["net"]) == (900, 1071, "100.00")

    reduce_price(job_id=job.pk, amount=Decimal("11.90"), why="a scratch", by=manager, press="b")

    note = Invoice.objects.get(corrects=invoice)
    assert (note.gross, note.net, note.content["why"]) == (Decimal("11.90"), 10, "a scratch")
    assert Invoice.objects.get(pk=invoice.pk).left == account(job).price
    assert standing(job) == invoice


def test_what_is_owed_for_a_job_called_off_is_invoiced(manager) -> None:
    job = ready("booked")
    pay(job, "300.00")
    jobs.cancel(job_id=job.pk, by=manager, why="off")
    assert why_not(Job.objects.get())
    decide_owed(job_id=job.pk, owed=Decimal("119.00"), why="two visits", by=manager, press="o")

    invoice = issue_invoice(job_id=job.pk, by=manager)

    assert (invoice.gross, invoice.net, invoice.due) == (119, 100, -181)


def sums(rows) -> dict[str, tuple[Decimal, Decimal]]:
    """Return receivable and received of each job."""
    found: dict[str, tuple[Decimal, Decimal]] = {}
    for row in rows:
        named = dict(zip(postings.COLUMNS, row, strict=True))
        before = found.get(named["job"], (Decimal(0), Decimal(0)))
        found[named["job"]] = (before[0] + named["receivable"], before[1] + named["received"])
    return found


@pytest.mark.long
def test_the_postings_of_a_settled_job_add_up_to_nothing_owed_and_the_price_received(manager) -> None:
    job, today = ready(), timezone.localdate()
    wrong = pay(job, "1000.00")
    pay(job, "1200.00")
    undo_payment(payment_id=wrong.pk, by=manager, note="typed wrong")
    issue_invoice(job_id=job.pk, by=manager)
    reduce_price(job_id=job.pk, amount=Decimal("90.00"), why="late", by=manager, press="a")
    refund = decide_refund(job_id=job.pk, amount=Decimal("100.00"), why="too much", by=manager, press="r")
    mark_refund_paid(refund_id=refund.pk, paid_on=today, by=manager)

    rows = postings.postings(today, today)

    assert sums(rows) == {job.number: (Decimal(0), Decimal("1100.00"))}
    kinds = sorted(row[1] for row in rows)
    assert kinds == ["credit note", "invoice", "payment", "payment", "payment undone", "refund"]
    assert postings.postings(today.replace(year=today.year - 1), today.replace(year=today.year - 1)) == []


@pytest.mark.long
def test_pages_of_invoices_and_the_export(manager) -> None:
    client, clerk = Client(), Client()
    client.force_login(manager)
    clerk.force_login(factories.staff("reviewer"))
    job = factories.job(
        state="ready",
    )
    page = f"/workshop/jobs/{job.number}/money/"
    assert "postal address is missing" in client.get(page).text
    wrong = clerk.post(f"{page}address/", ADDRESS | {"street": "", "vat_id": "DE1"})
    assert wrong.status_code == 422
    assert "not a valid VAT number" in wrong.text
    assert "50667" in wrong.text
    assert clerk.post(f"{page}address/", ADDRESS).status_code == 302
    assert clerk.post(f"{page}invoice/", {"press": "p"}).status_code == 302
    invoice = Invoice.objects.get()

    pdf = clerk.get(f"/workshop/jobs/{job.number}/invoices/{invoice.number}.pdf")
    assert pdf.content.startswith(b"%PDF")
    assert invoice.number in clerk.get("/workshop/money/invoices/").text
    assert clerk.post(f"{page}invoice/{invoice.pk}/credit/", {"press": "c", "why": "x"}).status_code == 403
    assert clerk.get("/workshop/money/export/").status_code == 403
    assert client.post(f"{page}invoice/{invoice.pk}/credit/", {"press": "c", "why": ""}).status_code == 422
    assert client.post(f"{page}invoice/{invoice.pk}/credit/", {"press": "c", "why": "x"}).status_code == 302
    technician = Client()
    technician.force_login(factories.staff("technician"))
    assert technician.get(f"/workshop/jobs/{job.number}/invoices/{invoice.number}.pdf").status_code == 403

    assert "Export as CSV" in client.get("/workshop/money/export/").text
    assert (
        client.get("/workshop/money/export/", {"start": "2026-02-01", "end": "2026-01-01"}).status_code == 422
    )
    today = timezone.localdate().isoformat()
    file = client.get("/workshop/money/export/", {"start": today, "end": today}).content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(file)))
    assert [(row["kind"], row["receivable"]) for row in rows] == [
        ("invoice", "1190"),
        ("credit note", "-1190"),
    ]


@pytest.mark.long
def test_the_customer_gives_the_address_sees_the_bill_and_opens_the_invoice() -> None:
    job, client = factories.job(state="ready"), Client()
    page = f"/job/{job.token}/"
    text = client.get(page).text
    assert "Balance to pay" in text
    assert "1,190.00" in text
    assert client.post(f"{page}address/", ADDRESS | {"town": ""}).status_code == 400
    assert client.post(f"{page}address/", ADDRESS).status_code == 302
    assert "Am Anger 2" in client.get(page).text

    invoice = issue_invoice(job_id=job.pk, by=None)

    assert f"Invoice {invoice.number}" in client.get(page).text
    assert client.get(f"{page}papers/{invoice.number.lower()}.pdf").content.startswith(b"%PDF")
    other = factories.job(state="ready")
    assert client.get(f"/job/{other.token}/papers/{invoice.number.lower()}.pdf").status_code == 404


@pytest.mark.long
def test_a_customer_whose_job_is_off_reads_what_goes_back_and_is_asked_for_no_address(manager) -> None:
    job = factories.job(state="deposit_due")
    pay(job, "300.00")
    jobs.cancel(job_id=job.pk, by=manager, why="off")

    text = Client().get(f"/job/{job.token}/").text

    assert "to be paid back" in text
    assert "Goes back to you" in text
    assert "Address for the invoice" not in text
