"""Two book one vehicle in, or one too late: nothing is written over unseen, nor refused in silence."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shop.jobs import bookin
from shop.models import BookIn, Job
from tests.shop import factories

from .test_stale import WORDS, banner, post, sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def colleague() -> Any:
    return factories.staff("technician", name="mira")


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(factories.staff("reviewer", "technician", name="anke"))
    return client


def read(client: Client, job: Job) -> dict[str, str]:
    """Return what the form of a book-in sends as it stands."""
    form = sent(client.get(reverse("shop:book_in", args=[job.number])), "/book-in/done/")
    # A browser sends an empty field too.
    return (
        {"was": ""}
        | form
        | {
            "mileage_km": "43210",
            "keys": "2",
            "locking_key": "none",
            "photos_why": "rain",
            "note": WORDS,
        }
    )


@pytest.mark.long
def test_two_who_book_one_vehicle_in_see_each_others_readings(client: Client, colleague: Any) -> None:
    job = factories.job(state="booked")
    old = read(client, job)
    theirs = bookin.Readings(43_120, 1, "none", photos_why="rain")
    bookin.complete(job_id=job.pk, readings=theirs, by=colleague)

    page = post(client, "book_in_complete", job.number, **old)

    assert page.status_code == 409
    assert "43120 km, keys: 1 (mira)" in page.text
    assert BookIn.objects.get().mileage_km == 43_120
    again = sent(page, "/book-in/done/")
    assert (again["mileage_km"], again["note"]) == ("43210", WORDS)
    assert post(client, "book_in_complete", job.number, **again).status_code == 302
    assert post(client, "book_in_complete", job.number, **again).status_code == 302, "pressed twice"
    assert BookIn.objects.get().mileage_km == 43_210


@pytest.mark.long
def test_a_book_in_after_the_vehicle_was_called_ready_is_refused_in_words(client: Client) -> None:
    job = factories.job(state="in_the_bay")
    old = read(client, job)
    Job.objects.update(state="ready")
    page = post(client, "book_in_complete", job.number, **old)
    assert page.status_code == 409
    assert "until it is ready" in banner(page)
    assert WORDS in banner(page)
