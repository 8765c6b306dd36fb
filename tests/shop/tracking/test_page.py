"""The customer's page: right words in every state, for the right customer only."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.jobs.states import State
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
