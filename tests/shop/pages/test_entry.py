"""Forms with rows that stay empty, sent as a browser sends them: with what every list stands at."""

from __future__ import annotations

from typing import Any

import lxml.html
import pytest
from django.test import Client
from django.urls import reverse

from shop.models import Job, Proposal
from tests.shop import factories


def as_it_stands(html: str, field: str) -> dict[str, str]:
    """Return what a browser would send of the form that has the field."""
    forms = lxml.html.fromstring(html).forms
    (form,) = [form for form in forms if form.method == "POST" and field in form.fields]
    return {name: value for name, value in form.form_values() if not hasattr(value, "read")}


@pytest.fixture
def desk(client: Client, demo_catalogue: Any) -> Client:
    client.force_login(factories.staff("reviewer", name="mira"))
    return client


def test_a_walk_in_with_one_line_and_the_other_rows_left_empty(desk: Client) -> None:
    address = reverse("shop:new_job")
    sent = as_it_stands(desk.get(address).content.decode(), "line-0-label")
    sent |= {
        "name": "Ida Sommer",
        "vehicle": "Old tractor",
        "line-0-label": "Weld the step",
        "line-0-hands_on_h": "2",
    }

    answer = desk.post(address, sent)

    assert answer.status_code == 302, answer.content.decode()
    assert [line.label for line in Job.objects.get().lines.all()] == ["Weld the step"]


@pytest.mark.long
def test_a_row_begun_and_left_half_is_asked_about_beside_its_field(desk: Client) -> None:
    address = reverse("shop:new_job")
    sent = as_it_stands(desk.get(address).content.decode(), "line-0-label")
    sent |= {
        "name": "Ida Sommer",
        "vehicle": "Old tractor",
        "line-1-resource": "lift",
        "notes": "It rattles.",
    }

    answer = desk.post(address, sent)

    assert answer.status_code == 422
    again = as_it_stands(answer.content.decode(), "line-0-label")
    assert (again["line-1-resource"], again["notes"].strip()) == ("lift", "It rattles.")
    assert "This field is required." in answer.content.decode()
    assert not Job.objects.exists()


@pytest.mark.long
def test_extra_work_is_proposed_with_the_other_rows_left_empty(desk: Client) -> None:
    job = factories.job(state="in_the_bay")
    address = reverse("shop:changes", args=[job.number])
    sent = as_it_stands(desk.get(address).content.decode(), "line-0-label")
    sent |= {"why": "The sill is rusted.", "line-0-label": "Weld the sill", "line-0-hands_on_h": "2"}

    answer = desk.post(address, sent)

    assert answer.status_code == 302, answer.content.decode()
    assert [line.label for line in Proposal.objects.get().lines.all()] == ["Weld the sill"]
