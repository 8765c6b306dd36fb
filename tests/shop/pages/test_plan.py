"""The plan page, and the bays and hours behind it."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from shop.models import Bay, ClosedDay, OpeningHours
from shop.planning.demo import make_demo_bays
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(factories.staff("manager"))
    return client


@pytest.mark.long
def test_planning_anew_draws_bars_and_lists_the_same(client, django_capture_on_commit_callbacks) -> None:
    make_demo_bays()
    job = factories.job(state="parts_in")
    assert job.number in client.get(reverse("shop:plan")).content.decode()  # named as not planned yet
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("shop:plan_make"))
    page = client.get(reverse("shop:plan"))
    bars = page.context["picture"].bars
    assert {bar.step.job.number for bar in bars} == {job.number}
    assert any(bar.is_wait for bar in bars)
    assert {bar.step.bay.kind for bar in bars} == {"bay", "lift", "booth"}
    assert all(bar.x >= 0 and bar.x + bar.width <= page.context["picture"].width for bar in bars)
    listed = [step for _, steps in page.context["by_day"] for step in steps]
    assert len(listed) == 5
    assert "decides the date" in page.content.decode()


@pytest.mark.long
def test_what_cannot_be_planned_is_said_with_what_helps(client, django_capture_on_commit_callbacks) -> None:
    make_demo_bays()
    Bay.objects.filter(kind="booth").update(is_open=False)
    job = factories.job(state="parts_in")
    with django_capture_on_commit_callbacks(execute=True):
        client.post(reverse("shop:plan_make"))
    page = client.get(reverse("shop:plan"))
    assert page.context["left_out"] == [
        (job.number, "No booth is in use. Put one into use under Bays and hours.")
    ]
    assert "No booth is in use" in page.content.decode()


def test_bays_hours_and_closed_days_are_added_and_taken_away(client) -> None:
    address = reverse("shop:plan_setup")
    bay = {"kind_of_row": "bay", "bay-name": "Bay 7", "bay-kind": "bay", "bay-is_open": "on"}
    hours = {"kind_of_row": "hours", "hours-weekday": "5", "hours-opens": "09:00", "hours-closes": "12:00",
             "hours-people": "1"}  # fmt: skip
    closed = {"kind_of_row": "closed", "closed-day": "2099-12-24", "closed-name": "Holiday"}
    for data in (bay, hours, closed):
        assert client.post(address, data).status_code == 302
    client.post(reverse("shop:plan_change", args=["bay", Bay.objects.get().pk]))
    assert not Bay.objects.get().is_open
    client.post(reverse("shop:plan_change", args=["hours", OpeningHours.objects.get().pk]))
    client.post(reverse("shop:plan_change", args=["closed", ClosedDay.objects.get().pk]))
    assert not OpeningHours.objects.exists()
    assert not ClosedDay.objects.exists()


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"kind_of_row": "bay"}, "This field is required"),
        ({"kind_of_row": "bay", "bay-name": "Bay 1", "bay-kind": "bay"}, "of that name already"),
        ({"kind_of_row": "bay", "bay-name": "X", "bay-kind": "moon"}, "Select a valid choice"),
        (
            {"kind_of_row": "hours", "hours-weekday": "5", "hours-opens": "12:00", "hours-closes": "09:00",
             "hours-people": "1"},
            "Closing must come after opening",
        ),
        (
            {"kind_of_row": "hours", "hours-weekday": "0", "hours-opens": "11:00", "hours-closes": "14:00",
             "hours-people": "1"},
            "overlaps other hours",
        ),
        (
            {"kind_of_row": "hours", "hours-weekday": "5", "hours-opens": "x", "hours-closes": "09:00",
             "hours-people": "0"},
            "Enter a valid time",
        ),
        ({"kind_of_row": "closed", "closed-day": "32.13.2026", "closed-name": "x"}, "Enter a valid date"),
    ],
)  # fmt: skip
def test_bad_rows_are_said_at_the_field(client, data, message) -> None:
    make_demo_bays()
    page = client.post(reverse("shop:plan_setup"), data)
    assert page.status_code == 422
    assert message in page.content.decode()


def test_unknown_lists_and_rows_are_not_found(client) -> None:
    assert client.post(reverse("shop:plan_setup"), {"kind_of_row": "moon"}).status_code == 404
    assert client.post(reverse("shop:plan_change", args=["moon", 1])).status_code == 404
    assert client.post(reverse("shop:plan_change", args=["bay", 999])).status_code == 404
