"""The manager's pages: who may, what they show, and what they say to bad input."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from configurator.models import Workshop
from shop.models import Job, Payment, Refund, StatementDraft, StatementEntry, StatementFile
from shop.money.service import account, book_payment
from tests.shop import factories

from .camt_samples import IBAN, statement, transfer

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    Workshop.objects.create(name="Werkhof", tax_rate_pct=19, labour_rate_per_h=90, iban=IBAN)


def signed_in(*roles: str) -> Client:
    client = Client()
    client.force_login(factories.staff(*roles))
    return client


def due() -> Job:
    return factories.job(factories.evaluation(price=factories.price(deposit="300.00")), state="deposit_due")


def upload(client: Client, data: bytes, name: str = "march.xml"):  # type: ignore[no-untyped-def]
    """Hand a file in and, when it can be read, take it into the books."""
    look = client.post("/workshop/money/statements/", {"file": SimpleUploadedFile(name, data)}, follow=True)
    draft = StatementDraft.objects.first()
    if draft is None or look.status_code != 200 or "take-in" not in look.text:
        return look
    return client.post(f"/workshop/money/statements/look/{draft.pk}/take-in/", follow=True)


@pytest.mark.long
def test_roles() -> None:
    for page, roles in {
        "/workshop/money/": {"manager", "reviewer"},
        "/workshop/money/statements/": {"manager"},
        "/workshop/money/unmatched/": {"manager"},
    }.items():
        for role in ("manager", "reviewer", "buyer", "technician"):
            client = Client()
            client.force_login(factories.staff(role, name=f"{role}{page}"))
            assert client.get(page).status_code == (200 if role in roles else 403), (page, role)


@pytest.mark.long
def test_reading_a_statement_shows_what_it_brought() -> None:
    job = due()
    reference = job.deposit_requests.get().reference
    client = signed_in("manager")
    data = statement(
        transfer("300.00", reference=reference), transfer("5.00", text="<b>stickers</b>", name="Otto")
    )

    answer = upload(client, data)

    assert answer.redirect_chain[-1][0] == f"/workshop/money/statements/{StatementFile.objects.get().pk}/"
    assert job.number in answer.text
    assert "&lt;b&gt;stickers" in answer.text
    assert account(job).covered
    assert "was read before" in upload(client, data).text


@pytest.mark.parametrize(
    ("name", "data", "message"),
    [
        ("a.xml", b"<x/>", "not a camt.053 statement"),
        ("a.csv", b"date;amount\n2026-01-01;x\n", "row 2, column amount:"),
        ("a.csv", b"", "empty"),
        ("a.pdf", b"%PDF-1.7\x00\x01", "not a text file"),
        ("a.xml", statement(iban="DE89370400440532013000"), "is of account"),
    ],
)
def test_what_cannot_be_read_is_said_at_the_field(name: str, data: bytes, message: str) -> None:
    answer = upload(signed_in("manager"), data, name)

    assert answer.status_code == 422
    assert message in answer.text
    assert StatementFile.objects.count() == 0


@pytest.mark.long
def test_unmatched_money_is_booked_by_hand_undone_and_set_aside() -> None:
    job = due()
    client = signed_in("manager")
    upload(client, statement(transfer("300.00", text=f"job {job.number}"), transfer("4.00", text="other")))
    page = client.get("/workshop/money/unmatched/")
    assert f"Book for {job.number}" in page.text
    one, other = StatementEntry.objects.order_by("-amount")

    for wrong in ("", "K-1999-0001", "'"):
        answer = client.post(f"/workshop/money/entries/{one.pk}/match/", {"job": wrong})
        assert answer.status_code == 422
    client.post(f"/workshop/money/entries/{one.pk}/match/", {"job": job.number.lower()})
    assert account(job).covered
    assert client.post(f"/workshop/money/entries/{one.pk}/match/", {"job": job.number}).status_code == 422

    client.post(f"/workshop/money/entries/{one.pk}/reopen/")
    assert account(job).held == 0
    client.post(f"/workshop/money/entries/{other.pk}/aside/", {"note": "scrap"})
    other.refresh_from_db()
    assert (other.state, other.note) == ("set aside", "scrap")
    client.post(f"/workshop/money/entries/{other.pk}/reopen/")
    other.refresh_from_db()
    assert other.state == "open"


@pytest.mark.long
def test_paying_at_the_desk_and_undoing_it() -> None:
    job = due()
    client, page = signed_in("manager"), f"/workshop/jobs/{job.number}/money/"
    good = {"press": "a", "amount": "300", "received_on": timezone.localdate().isoformat(), "method": "cash"}

    for wrong in (
        {"amount": "0"},
        {"amount": "1.005"},
        {"amount": "x"},
        {"method": "gold"},
        {"received_on": "2999-01-01"},
    ):
        answer = client.post(f"{page}pay/", good | wrong)
        assert answer.status_code == 422
        assert "error" in answer.text
    for _ in range(2):
        assert client.post(f"{page}pay/", good).status_code == 302
    payment = Payment.objects.get()
    assert "Payments" in client.get(page).text
    for _ in range(2):
        client.post(f"{page}undo/{payment.pk}/", {"note": "typed wrong"})
    assert account(job).held == 0
    assert client.post(f"{page}undo/{payment.pk}/", {}).status_code == 422
    assert client.post(f"{page}undo/{10**6}/").status_code == 404


@pytest.mark.long
def test_deciding_and_paying_out_a_refund() -> None:
    job = due()
    book_payment(job_id=job.pk, amount=Decimal(300), received_on=timezone.localdate(), method="card", by=None)
    Job.objects.update(state="declined")
    client, page = signed_in("manager"), f"/workshop/jobs/{job.number}/money/"
    assert "everything paid goes back" in client.get(page).text

    assert client.post(f"{page}refund/", {"press": "a", "amount": "301", "why": "x"}).status_code == 422
    assert client.post(f"{page}refund/", {"press": "a", "amount": "300", "why": ""}).status_code == 422
    client.post(f"{page}refund/", {"press": "a", "amount": "300", "why": "declined"})
    refund = Refund.objects.get()
    assert client.post(f"{page}refund/{refund.pk}/paid/", {"paid_on": "2999-01-01"}).status_code == 422
    client.post(f"{page}refund/{refund.pk}/paid/", {"paid_on": timezone.localdate().isoformat()})

    refund.refresh_from_db()
    assert refund.paid_on == timezone.localdate()
    assert "paid out" in client.get(page).text


@pytest.mark.long
def test_whoever_hands_over_takes_money_and_only_the_manager_decides() -> None:
    job = due()
    client, page = signed_in("reviewer"), f"/workshop/jobs/{job.number}/money/"
    paid = {"press": "a", "amount": "10", "received_on": timezone.localdate().isoformat(), "method": "cash"}

    assert "Book a payment" in client.get(page).text
    assert client.post(f"{page}pay/", paid).status_code == 302
    payment = Payment.objects.get()
    for deed in (f"undo/{payment.pk}/", "refund/", "owed/", "reduce/"):
        assert client.post(f"{page}{deed}", {}).status_code == 403, deed
    for role in ("buyer", "technician"):
        other = signed_in(role)
        assert other.get(page).status_code == 403
        assert other.post(f"{page}pay/", paid).status_code == 403


@pytest.mark.long
def test_papers_page_and_files() -> None:
    job = due()
    manager, technician = signed_in("manager"), signed_in("technician")
    page = f"/workshop/jobs/{job.number}/papers/"

    assert "when the vehicle is ready" in manager.get(page).text
    answers = dict.fromkeys(("quote", "deposit", "job-sheet", "specification"), 200)
    answers |= {"handover": 409, "purchase-order": 404, "nonsense": 404}
    for kind, status in answers.items():
        answer = manager.get(f"{page}{kind}.pdf")
        assert answer.status_code == status, kind
        assert answer.content.startswith(b"%PDF") == (status == 200)
    Job.objects.update(state="booked")
    assert technician.get(f"{page}job-sheet.pdf").status_code == 200
    assert technician.get(f"{page}quote.pdf").status_code == 404


@pytest.mark.long
def test_queries_do_not_grow_with_rows() -> None:
    client = signed_in("manager")
    pages = ("/workshop/money/", "/workshop/money/statements/", "/workshop/money/unmatched/")
    counts = []
    for size in (1, 4):
        for number in range(size):
            due()
            upload(client, statement(transfer("300.00", text="van"), number=f"{size}-{number}"))
        counts.append({page: queries(client, page) for page in pages})
    assert counts[0] == counts[1]


def queries(client: Client, page: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert client.get(page).status_code == 200
    return len(captured)
