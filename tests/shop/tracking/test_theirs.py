"""What the page says is true of this very job: whose version it is, how it began, whether money is asked."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from configurator.builds.sending import Contact
from shop.jobs import entering, service
from shop.jobs.agreement import agree_as_workshop, answer_as_customer
from shop.jobs.states import State
from shop.models import Job
from shop.money.service import book_payment
from tests.shop import factories
from tests.shop.tracking.conftest import amended, offered

pytestmark = pytest.mark.django_db
DRAFT = factories.evaluation(price=factories.price("777.00", "250.00"), summary=("Wheels of the draft",))


def text_of(client: Client, job: Job) -> str:
    """Return the page."""
    return client.get(f"/job/{job.token}/").content.decode()


@pytest.mark.long
def test_a_draft_is_not_shown_before_it_is_proposed(client: Client, reviewer: Any, workshop: Any) -> None:
    job = factories.job()
    service.take_into_review(job_id=job.pk, by=reviewer)
    job.refresh_from_db()
    newer = amended(job, DRAFT)

    text = text_of(client, job)
    assert "Grille, gloss black" in text
    assert "Wheels of the draft" not in text
    assert "777.00" not in text
    assert "What you sent us" in text
    assert "We are working on another version." in text

    agree_as_workshop(job_id=job.pk, revision_id=newer.pk, by=reviewer)
    text = text_of(client, job)
    assert "Wheels of the draft" in text
    assert "We are working on another version." not in text


def test_after_a_no_theirs_stands_again(client: Client, reviewer: Any, workshop: Any) -> None:
    job = offered(reviewer, DRAFT)
    answer_as_customer(job_id=job.pk, answer="Rather as I sent it.")

    text = text_of(client, job)
    assert "Grille, gloss black" in text
    assert "Wheels of the draft" not in text


def test_called_off_while_a_draft_is_written_theirs_is_what_was_called_off(
    client: Client, reviewer: Any, workshop: Any
) -> None:
    job = factories.job()
    service.take_into_review(job_id=job.pk, by=reviewer)
    job.refresh_from_db()
    amended(job, DRAFT)
    service.cancel(job_id=job.pk, by="customer", why="Too dear.")

    text = text_of(client, job)
    assert "Wheels of the draft" not in text
    assert "We are working on another version." not in text


@pytest.mark.long
def test_opened_again_what_was_agreed_stands(client: Client, reviewer: Any, workshop: Any) -> None:
    job = offered(reviewer)
    client.post(f"/job/{job.token}/accept/", {"accept-revision": job.revision_id, "accept-consent": "on"})
    service.reopen(job_id=job.pk, by=reviewer, why="The wheel is not made any more.")
    job.refresh_from_db()
    amended(job, DRAFT)

    text = text_of(client, job)
    assert "€990.00" in text
    assert "Wheels of the draft" not in text
    assert "As we put it to you" in text


def entered(reviewer: Any, amount: str = "80.00", **more: Any) -> Job:
    """Return a repair that was written down at the desk."""
    new = entering.NewJob(
        contact=Contact(name="Ida Sommer", email="ida@customer.example"),
        lines=(entering.Written("Fix a scratch", Decimal(amount), hands_on_h=1.0),),
        vehicle="a van",
        **more,
    )
    return entering.enter_job(new=new, by=reviewer, press=timezone.now().isoformat())


@pytest.mark.long
def test_what_staff_wrote_down_was_not_sent(client: Client, reviewer: Any, workshop: Any) -> None:
    text = text_of(client, entered(reviewer))
    assert "Build sent" not in text
    assert "What you sent us" not in text
    assert "Written down by us" in text
    assert "We have written your job down" in text
    warranty = text_of(client, entered(reviewer, kind="warranty"))
    assert "Warranty visit agreed on" in warranty


@pytest.mark.long
def test_without_a_deposit_none_is_called_paid(client: Client, reviewer: Any, workshop: Any) -> None:
    job = entered(reviewer, deposit=Decimal(0), customer_asked=True)
    assert "we ask for the deposit" not in text_of(client, job)
    agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)
    job.refresh_from_db()

    assert job.state not in (State.IN_REVIEW, State.WAITING)
    text = text_of(client, job)
    assert "Your deposit is in" not in text
    assert '<h2 id="deposit-title">Deposit</h2>' not in text
    assert "nothing in advance" in text
    assert "Rest of the price, at the handover" in text
    assert "<span>Deposit</span>" not in text

    pay = {"job_id": job.pk, "received_on": timezone.localdate(), "method": "cash", "by": None}
    book_payment(amount=Decimal("20.00"), press="1", **pay)
    assert "Paid so far" in text_of(client, job)


def test_a_visit_that_costs_nothing_has_no_bill(client: Client, reviewer: Any, workshop: Any) -> None:
    job = entered(reviewer, amount="0", kind="warranty", customer_asked=True)
    agree_as_workshop(job_id=job.pk, revision_id=job.revision_id, by=reviewer)
    assert 'id="deposit"' not in text_of(client, job)
