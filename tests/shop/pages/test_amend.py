"""A reviewer changes a build: the same checks, a new revision, nothing typed lost."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from configurator.builds import service as specs
from configurator.builds.selection import Selection
from shop.jobs import service
from shop.jobs.amend import amend
from shop.jobs.errors import NotAllowedError, StaleError, UnmetError, WrongStateError
from shop.models import Job
from tests.shop import factories

SPEC = json.loads((settings.BASE_DIR / "fixtures" / "specs" / "harbour-van.json").read_text())


@pytest.fixture
def reviewer(db):
    return factories.staff("reviewer", name="mira")


@pytest.fixture
def job(demo_catalogue, reviewer) -> Job:
    selection = Selection.model_validate(SPEC["selection"])
    spec = specs.start_build(generation=selection.generation)
    specs.save_build(spec_id=spec.pk, selection=selection)
    contact = specs.Contact(**SPEC["contact"])
    sent = specs.send_build(spec_id=spec.pk, contact=contact, terms_version="1", terms_text="Terms.")
    job = Job.objects.get(spec=sent.revision.spec)
    service.take_into_review(job_id=job.pk, by=reviewer)
    job.refresh_from_db()
    return job


@pytest.fixture
def client(reviewer) -> Client:
    client = Client()
    client.force_login(reviewer)
    return client


def posted(client: Client, job: Job) -> dict[str, Any]:
    """Return what a browser would post of the page as it is."""
    form = client.get(reverse("shop:amend", args=[job.number])).context["form"]
    found = {field.html_name: field.value() for field in form}
    return {name: value for name, value in found.items() if value not in (None, "", False)}


def without_spacers(job: Job) -> Selection:
    selection = Selection.model_validate(job.revision.selection)
    bare = selection.front.model_copy(update={"spacer": None})
    return selection.model_copy(update={"front": bare, "rear": bare})


def test_storing_the_page_as_it_is_changes_nothing(client, job) -> None:
    page = client.post(
        reverse("shop:amend", args=[job.number]),
        posted(client, job) | {"do": "store", "why": "x"},
        follow=True,
    )
    assert "Nothing was changed." in page.content.decode()
    assert job.spec.revisions.count() == 1


def test_checking_shows_what_comes_of_it_and_stores_nothing(client, job) -> None:
    data = posted(client, job) | {"do": "check", "spacer": "", "why": "typed before checking"}
    page = client.post(reverse("shop:amend", args=[job.number]), data)
    assert page.status_code == 200
    assert any(row.what == "Spacers" for row in page.context["changes"])
    assert "typed before checking" in page.content.decode()
    assert job.spec.revisions.count() == 1


def test_an_update_in_place_answers_with_the_result_only(client, job) -> None:
    data = posted(client, job) | {"spacer": ""}
    page = client.post(reverse("shop:amend", args=[job.number]), data, headers={"HX-Request": "true"})
    assert page.status_code == 200
    assert "<html" not in page.content.decode()
    assert "Spacers" in page.content.decode()


def test_a_change_makes_a_revision_with_its_own_parts_work_and_deposit(client, job) -> None:
    before = job.revision
    lines, total = job.parts.filter(dropped=False).count(), before.evaluation["price"]["total"]
    data = posted(client, job) | {"do": "store", "spacer": "", "why": "The 15 mm spacers are not needed."}
    page = client.post(reverse("shop:amend", args=[job.number]), data, follow=True)
    assert page.redirect_chain[-1][0] == reverse("shop:review", args=[job.number])
    job.refresh_from_db()
    assert (job.revision.number, job.revision.made_by) == (2, "mira")
    assert job.revision.name == SPEC["contact"]["name"]
    assert job.revision.evaluation["price"]["total"] != total
    assert job.parts.filter(dropped=False).count() < lines
    assert {step.key for step in job.operations.all()} == {
        step["key"] for step in job.revision.evaluation["work"]["steps"]
    }
    assert (
        str(job.deposit_requests.get(superseded_at=None).total) == job.revision.evaluation["price"]["total"]
    )
    before.refresh_from_db()
    assert before.evaluation["price"]["total"] == total


def test_why_is_asked_for_at_its_field_and_the_change_kept(client, job) -> None:
    data = posted(client, job) | {"do": "store", "spacer": ""}
    page = client.post(reverse("shop:amend", args=[job.number]), data)
    assert page.status_code == 400
    assert page.context["form"].errors["why"]
    assert page.context["form"]["spacer"].value() == ""


def test_unknown_codes_are_said_at_the_field(client, job) -> None:
    known = posted(client, job) | {"do": "store", "why": "try"}
    for change in (
        {"wheel": "no-such-wheel"},
        {"tyre": "UPPER CASE"},
        {"wheel": "x" * 999},
        {"accent": "moon"},
    ):
        page = client.post(reverse("shop:amend", args=[job.number]), known | change)
        assert page.status_code in (400, 422)
        assert set(page.context["form"].errors) & set(change), change
    assert job.spec.revisions.count() == 1


def test_amending_is_for_reviewers_in_review_with_the_newest_page(job, reviewer) -> None:
    change = {"job_id": job.pk, "selection": without_spacers(job), "why": "Not needed."}
    with pytest.raises(NotAllowedError):
        amend(**change, by=factories.staff("buyer"))
    with pytest.raises(StaleError):
        amend(**change, by=reviewer, version=job.version - 1)
    with pytest.raises(UnmetError, match="Another vehicle"):
        amend(**(change | {"selection": Selection(generation="other-1")}), by=reviewer)
    with pytest.raises(UnmetError, match="Nothing is chosen"):
        amend(**(change | {"selection": Selection(generation="haldor-2")}), by=reviewer)
    assert amend(**change, by=reviewer)
    assert not amend(**change, by=reviewer)
    Job.objects.filter(pk=job.pk).update(state="booked")
    with pytest.raises(WrongStateError):
        amend(**change, by=reviewer)


def test_the_page_says_when_the_job_is_not_in_review(client, job) -> None:
    Job.objects.filter(pk=job.pk).update(state="booked")
    page = client.get(reverse("shop:amend", args=[job.number]), follow=True)
    assert "cannot be changed now" in page.content.decode()


def test_every_part_of_the_axles_can_be_chosen(client, job) -> None:
    html = client.get(reverse("shop:amend", args=[job.number])).content.decode()
    for name, least in (("wheel", 8), ("rear_wheel", 8), ("tyre", 8), ("spacer", 5)):
        field = html.split(f'name="{name}"', 1)[1].split("</select>")[0]
        assert field.count("<option") > least, name
