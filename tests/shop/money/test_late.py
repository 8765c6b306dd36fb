"""A press that comes late, after a colleague's: the answer is true, and nothing typed is lost."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from shop.jobs import service as jobs
from shop.models import Job, Payment, Refund, StatementEntry
from shop.money.ledger import withdraw_refund
from shop.money.refunds import decide_refund
from shop.money.statements import matching
from tests.shop import factories

from .camt_samples import transfer
from .ledgers import DEPOSIT, pay
from .transfers import make_workshop, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(manager) -> Client:
    make_workshop()
    client = Client()
    client.force_login(manager)
    return client


def press(client: Client, name: str, *args: Any, **typed: Any) -> tuple[int, str]:
    """Return the status, and the page with what is said above it."""
    answer = client.post(reverse(f"shop:{name}", args=args), typed)
    said = " ".join(str(message) for message in get_messages(answer.wsgi_request))
    return answer.status_code, said + answer.content.decode()


def two_refunds(manager: Any) -> tuple[Job, Refund]:
    job = factories.job(state="deposit_in")
    pay(job, DEPOSIT)
    back = {"job_id": job.pk, "amount": DEPOSIT, "why": "twice", "by": manager}
    return job, decide_refund(press="a", **back)


def test_a_second_refund_of_money_that_goes_back_already_is_refused_in_words(client, manager) -> None:
    job, _refund = two_refunds(manager)
    status, page = press(
        client, "refund", job.number, press="b", amount="300.00", why="paid it twice, she says"
    )
    assert status == 422
    assert "Only 0.00 is held for this job." in page
    assert "paid it twice, she says" in page


@pytest.mark.long
def test_a_refund_that_was_withdrawn_meanwhile_is_not_paid_out_in_silence(client, manager) -> None:
    job, refund = two_refunds(manager)
    withdraw_refund(refund_id=refund.pk, by=manager, why="not yet")
    status, page = press(client, "refund_paid", job.number, refund.pk, paid_on="2026-01-31")
    assert status == 422
    assert "This refund was withdrawn." in page


def test_a_discount_for_a_job_that_was_called_off_meanwhile_is_refused_in_words(client, manager) -> None:
    job = factories.job(state="deposit_in")
    jobs.cancel(job_id=job.pk, by=manager, why="sold it")
    status, page = press(client, "reduce", job.number, press="b", amount="20.00", why="late by a week")
    assert status == 422
    assert "The job is off" in page
    assert "late by a week" in page


def test_goodwill_that_is_not_taken_off_the_price_is_asked_for_again_and_the_page_says_so(client) -> None:
    job = factories.job(state="handed_over")
    pay(job, Decimal(1190))
    _status, page = press(client, "refund", job.number, press="b", amount="50.00", why="goodwill")
    assert "50.00 of the price is still to come now" in page


def waiting(**more: Any) -> StatementEntry:
    return read(transfer("300.00", text="van", **more))[0]


def test_what_a_colleague_has_booked_is_not_called_set_aside(client, manager) -> None:
    job, entry = factories.job(state="deposit_due"), waiting()
    matching.match_by_hand(entry_id=entry.pk, job_id=job.pk, by=manager)
    status, page = press(client, "set_aside", entry.pk, note="the landlord’s")
    assert status == 422
    assert "Somebody has decided about it" in page
    assert "Set aside:" not in page
    assert "the landlord’s" in page


def test_bringing_back_does_not_undo_what_a_colleague_booked_meanwhile(client, manager) -> None:
    job, entry = factories.job(state="deposit_due"), waiting()
    matching.set_aside(entry_id=entry.pk, note="scrap")
    was = StatementEntry.objects.get().state
    matching.match_by_hand(entry_id=entry.pk, job_id=job.pk, by=manager)

    _status, page = press(client, "reopen_entry", entry.pk, was=was)

    assert "Somebody has decided about it" in page
    assert Payment.objects.get().amount == DEPOSIT, "it stands"


def test_a_match_undone_says_what_became_of_the_job_and_once_more_says_it_is_open(client, manager) -> None:
    job, entry = factories.job(state="deposit_due"), waiting()
    matching.match_by_hand(entry_id=entry.pk, job_id=job.pk, by=manager)
    assert Job.objects.get().state == "deposit_in"

    _status, page = press(client, "reopen_entry", entry.pk, was="matched")
    assert "The job and the ledger have followed" in page
    assert Job.objects.get().state == "deposit_due"
    _status, page = press(client, "reopen_entry", entry.pk, was="matched")
    assert "It is open already" in page


def test_a_doubt_that_a_colleague_settled_is_not_called_settled_the_other_way(client, manager) -> None:
    job, entry = factories.job(state="deposit_due"), waiting()
    StatementEntry.objects.update(state="doubt", like=entry, values={"file": "1.xml"})
    matching.another_movement(entry_id=entry.pk)
    matching.match_by_hand(entry_id=entry.pk, job_id=job.pk, by=manager)
    _status, page = press(client, "settle_doubt", entry.pk, **{"is": "same"})
    assert "it is not booked" not in page
    assert "Somebody has decided about it" in page

    StatementEntry.objects.update(state="known")
    _status, page = press(client, "settle_doubt", entry.pk, **{"is": "another"})
    assert "Somebody has decided about it" in page
    assert StatementEntry.objects.get().state == "known"
