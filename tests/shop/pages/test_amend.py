"""A reviewer changes a build on the customer's own page: a copy, a look at what follows, a new revision."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from configurator.builds import sending
from configurator.builds import service as specs
from configurator.builds.selection import Selection
from configurator.models import Spec
from shop.jobs import service
from shop.jobs.amend import amend
from shop.jobs.copies import copy_of
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
    contact = sending.Contact(**SPEC["contact"])
    sent = sending.send_build(spec_id=spec.pk, contact=contact, terms_version="1", terms_text="Terms.")
    job = Job.objects.get(spec=sent.revision.spec)
    service.take_into_review(job_id=job.pk, by=reviewer)
    job.refresh_from_db()
    return job


@pytest.fixture
def client(reviewer) -> Client:
    client = Client()
    client.force_login(reviewer)
    return client


def page_of(job: Job) -> str:
    return reverse("shop:amend", args=[job.number])


def begun(client: Client, job: Job) -> Spec:
    """Begin choosing, as the button does."""
    answer = client.post(page_of(job), {"do": "begin"})
    copy = copy_of(job)
    assert copy is not None
    assert answer["Location"] == reverse("configurator:build", args=[copy.token])
    return copy


def without_spacers(job: Job) -> Selection:
    selection = Selection.model_validate(job.revision.selection)
    bare = selection.front.model_copy(update={"spacer": None})
    return selection.model_copy(update={"front": bare, "rear": bare})


@pytest.mark.long
def test_a_copy_holds_what_was_stated_and_nothing_else(client, job) -> None:
    """A colour and a code were invented once by a form that had no empty choice."""
    copy = begun(client, job)
    assert copy.selection == job.revision.selection
    address = reverse("configurator:build", args=[copy.token])
    page = client.get(address).content.decode()
    assert f"You choose for {job.number}." in page
    assert "Send it to the workshop" not in page
    assert "Who is asking?" not in page
    answer = client.post(page_of(job), {"do": "store", "why": "x", "press": "p"}, follow=True)
    assert "Nothing was changed." in answer.content.decode()
    assert job.spec.revisions.count() == 1


@pytest.mark.long
def test_a_build_that_states_no_colour_comes_back_without_one(client, job) -> None:
    bare = Selection.model_validate(job.revision.selection).model_copy(
        update={"body_finish": None, "accent": None, "options": (), "finishes": {}}
    )
    job.revision.selection = bare.model_dump(mode="json")
    job.revision.save()
    copy = begun(client, job)
    form = client.get(reverse("configurator:build", args=[copy.token])).context["form"]
    posted = {field.html_name: field.value() for field in form}
    posted = {name: value for name, value in posted.items() if value not in (None, "", False, [])}
    client.post(reverse("configurator:build", args=[copy.token]), posted | {"do": "back"})
    copy.refresh_from_db()
    assert Selection.model_validate(copy.selection).body_finish is None
    assert Selection.model_validate(copy.selection).accent is None


@pytest.mark.long
def test_a_copy_is_never_sent_and_not_kept_on_the_device(client, job) -> None:
    copy = begun(client, job)
    address = reverse("configurator:build", args=[copy.token])
    client.post(address, {"do": "send", "name": "Mira", "email": "mira@workshop.example"})
    copy.refresh_from_db()
    assert copy.sent_at is None
    assert Job.objects.count() == 1
    begun_here = client.get(reverse("configurator:start")).content.decode()
    assert address not in begun_here


@pytest.mark.long
def test_what_comes_of_it_is_shown_and_one_change_is_told_as_one(client, job) -> None:
    copy = begun(client, job)
    specs.save_build(spec_id=copy.pk, selection=without_spacers(job))
    page = client.get(page_of(job))
    chosen = [row for row in page.context["offer"].chosen if "axle" not in row.what]
    assert [row.what for row in chosen] == ["Spacers"]
    assert job.spec.revisions.count() == 1


@pytest.mark.long
def test_a_change_makes_a_revision_with_its_own_parts_work_and_deposit(client, job) -> None:
    before = job.revision
    lines, total = job.parts.filter(dropped=False).count(), before.evaluation["price"]["total"]
    copy = begun(client, job)
    specs.save_build(spec_id=copy.pk, selection=without_spacers(job))
    data = {"do": "store", "why": "The 15 mm spacers are not needed.", "press": "p", "version": job.version}
    page = client.post(page_of(job), data, follow=True)
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
    assert copy_of(job) is None, "what is chosen next begins from the new revision"


@pytest.mark.long
def test_why_is_asked_for_at_its_field_and_the_choices_kept(client, job) -> None:
    copy = begun(client, job)
    specs.save_build(spec_id=copy.pk, selection=without_spacers(job))
    page = client.post(page_of(job), {"do": "store", "press": "p"})
    assert page.status_code == 400
    assert page.context["form"].errors["why"]
    assert page.context["offer"].rows


@pytest.mark.long
def test_after_both_agreed_it_is_proposed_and_what_was_bought_in_vain_is_charged(client, job) -> None:
    spacers = job.parts.filter(kind="spacer")
    assert spacers.exists()
    spacers.update(returnable=False, issued=2, quantity=2)
    Job.objects.filter(pk=job.pk).update(state="in_the_bay")
    job.refresh_from_db()
    copy = begun(client, job)
    specs.save_build(spec_id=copy.pk, selection=without_spacers(job))
    page = client.get(page_of(job)).context["in_vain"]
    assert [amount for _label, amount in page] == [2 * part.unit_price for part in spacers]
    client.post(page_of(job), {"do": "store", "why": "They touch.", "press": "p", "charge": "on"})
    proposal = job.proposals.get()
    assert proposal.is_build
    assert [line.amount for line in proposal.lines.all()] == [amount for _label, amount in page]
    assert job.spec.revisions.count() == 1


@pytest.mark.long
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


@pytest.mark.long
def test_the_page_says_when_the_job_cannot_be_changed(client, job) -> None:
    Job.objects.filter(pk=job.pk).update(state="handed_over")
    page: Any = client.get(page_of(job), follow=True)
    assert "cannot be changed now" in page.content.decode()
