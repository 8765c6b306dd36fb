"""The customer's page: right words in every state, for the right customer only."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.jobs.states import State
from shop.messages import words
from shop.models import Job, OrderedFor, PurchaseLine, PurchaseOrder
from shop.money.service import book_payment
from tests.shop import factories

pytestmark = pytest.mark.django_db

WORDS = {
    State.SENT: "Thank you, your build is with us",
    State.IN_REVIEW: "We are looking through your build",
    State.AGREED: "We have agreed. Now the deposit",
    State.DEPOSIT_DUE: "We have agreed. Now the deposit",
    State.DEPOSIT_IN: "Your deposit is in",
    State.PARTS_ON_ORDER: "Your parts are on order",
    State.PARTS_IN: "All parts are here",
    State.BOOKED: "We expect you on",
    State.IN_THE_BAY: "Your vehicle is in the bay",
    State.READY: "Your vehicle is ready",
    State.HANDED_OVER: "Your vehicle is yours again",
    State.DECLINED: "We are sorry: we cannot do this job",
    State.CANCELLED: "The job has been called off",
    State.WAITING: "We have a question for you",
}


def page(client: Client, token: str) -> Any:
    """Get the page of a link."""
    return client.get(f"/job/{token}/")


@pytest.mark.parametrize("state", list(State))
def test_every_state_says_where_the_job_stands(client: Client, state: State) -> None:
    soon = timezone.now() + timedelta(days=3)
    job = factories.job(state=state, booked_start=soon, promised_ready_at=soon)

    answer = page(client, job.token)

    assert answer.status_code == 200
    assert WORDS[state] in answer.content.decode()


def test_the_page_stays_out_of_caches_indexes_and_referrers(client: Client) -> None:
    answer = page(client, factories.job().token)

    assert "no-store" in answer["Cache-Control"]
    assert "noindex" in answer["X-Robots-Tag"]
    assert answer["Referrer-Policy"] == "same-origin"


def test_a_wrong_link_is_not_found_and_an_expired_one_shows_nothing_of_the_job(client: Client) -> None:
    job = factories.job()
    assert page(client, job.token[:-1] + "!").status_code == 404

    job.token_expires_at = timezone.now() - timedelta(seconds=1)
    job.save()
    answer = page(client, job.token)
    assert answer.status_code == 410
    text = answer.content.decode()
    assert "This link has run out" in text
    assert job.number not in text
    assert "ida@customer.example" not in text


def test_costs_suppliers_and_staff_words_are_not_shown(client: Client) -> None:
    job = factories.job()
    text = page(client, job.token).content.decode()

    assert "800.00" in text  # the price of the part
    for secret in ("110.00", "Northwheel", "NW-8018"):
        assert secret not in text


PAPERS = {
    State.SENT: set(),
    State.DEPOSIT_DUE: {"deposit", "quote", "specification"},
    State.HANDED_OVER: {"handover", "quote", "specification"},
    State.DECLINED: set(),
}


@pytest.mark.long
@pytest.mark.parametrize("state", list(PAPERS))
def test_papers_are_there_when_they_say_something_and_for_their_customer_only(
    client: Client, workshop: Any, state: State
) -> None:
    job = factories.job(state=state)
    text = page(client, job.token).content.decode()
    for kind in ("quote", "specification", "deposit", "handover"):
        address = f"/job/{job.token}/papers/{kind}.pdf"
        assert (address in text) == (kind in PAPERS[state])
        assert client.get(address).status_code == (200 if kind in PAPERS[state] else 404)
    for other in ("job-sheet", "purchase-order", "nothing"):
        assert client.get(f"/job/{job.token}/papers/{other}.pdf").status_code == 404


def test_a_paper_is_a_pdf_that_no_cache_keeps(client: Client, workshop: Any) -> None:
    answer = client.get(f"/job/{factories.job(state=State.DEPOSIT_DUE).token}/papers/deposit.pdf")
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    assert "no-store" in answer["Cache-Control"]


@pytest.mark.long
def test_the_deposit_is_shown_once_it_is_asked_for_with_its_payment_code(
    client: Client, workshop: Any
) -> None:
    early = page(client, factories.job(state=State.IN_REVIEW).token).content.decode()
    due = page(client, factories.job(state=State.DEPOSIT_DUE).token).content.decode()
    declined = page(client, factories.job(state=State.DECLINED).token).content.decode()

    assert 'id="deposit"' not in early
    assert 'id="deposit"' not in declined
    assert 'id="deposit"' in due
    assert "DE89 3704 0044 0532 0130 00" in due
    assert 'class="qrline"' in due


@pytest.mark.long
def test_part_paid_and_paid_deposits_say_what_is_left(client: Client, workshop: Any) -> None:
    job = factories.job(state=State.DEPOSIT_DUE)
    pay = {"job_id": job.pk, "received_on": timezone.localdate(), "method": "cash", "by": None}
    book_payment(amount=Decimal("100.00"), press="1", **pay)
    assert "€200.00" in page(client, job.token).content.decode()

    book_payment(amount=Decimal("200.00"), press="2", **pay)
    text = page(client, job.token).content.decode()
    assert "Your deposit is in" in text
    assert "Rest of the price, at the handover" in text
    assert "€890.00" in text


@pytest.mark.long
def test_parts_on_order_say_by_when_they_should_be_here(client: Client, workshop: Any) -> None:
    job = factories.job(state=State.PARTS_ON_ORDER)
    part = job.parts.first()
    placed = PurchaseOrder.objects.create(number="P-1", supplier="northwheel", currency="EUR")
    line = PurchaseLine.objects.create(
        order=placed,
        position=1,
        item=part.item,
        sku=part.sku,
        unit="each",
        pack_size=1,
        quantity=4,
        unit_cost_net=110,
        amount_net=440,
    )
    OrderedFor.objects.create(line=line, part=part, quantity=4)
    expected = words.day(timezone.localdate() + timedelta(days=part.lead_time_days))

    assert f"expected by about {expected}" in page(client, job.token).content.decode()
    PurchaseOrder.objects.update(placed_at=timezone.now() - timedelta(days=part.lead_time_days + 1))
    assert "was expected by about" in page(client, job.token).content.decode()
    PurchaseLine.objects.update(received=4)
    assert "expected by about" not in page(client, job.token).content.decode()


@pytest.mark.long
def test_a_day_that_has_passed_is_not_still_to_come(client: Client, workshop: Any) -> None:
    gone = timezone.now() - timedelta(days=3)
    job = factories.job(state=State.BOOKED, booked_start=gone, promised_ready_at=gone)
    html = page(client, job.token).content.decode()
    assert "We expected you on" in html
    assert "We expect you on" not in html
    Job.objects.filter(pk=job.pk).update(state=State.IN_THE_BAY)
    html = page(client, job.token).content.decode()
    assert "It was to be ready on" in html
    assert "As planned it is ready" not in html


@pytest.mark.long
def test_proposed_days_that_have_passed_are_not_waited_for(client: Client, workshop: Any) -> None:
    job = factories.job(state=State.PARTS_ON_ORDER)
    wish = job.date_wishes.create(days=[timezone.localdate().isoformat()])
    assert "look at your days then" in page(client, job.token).content.decode()
    wish.days = [(timezone.localdate() - timedelta(days=1)).isoformat()]
    wish.save()
    html = page(client, job.token).content.decode()
    assert "They have passed." in html
    assert "look at your days then" not in html
