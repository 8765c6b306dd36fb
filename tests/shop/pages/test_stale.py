"""Two of staff have the same page open: one acts, the other presses a button of the old page."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import lxml.html
import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.jobs import bench, changes, service
from shop.jobs.entering import Written
from shop.models import Job, Proposal
from tests.shop import factories

pytestmark = pytest.mark.django_db
WORDS = "Ring Mrs Kröger after five."


@pytest.fixture
def colleague() -> Any:
    return factories.staff("manager", "reviewer", "technician", name="mira")


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(factories.staff("manager", "reviewer", "technician", name="anke"))
    return client


def post(client: Client, name: str, *args: Any, **data: Any) -> Any:
    return client.post(reverse(f"shop:{name}", args=args), data)


def said(answer: Any) -> str:
    return " ".join(str(message) for message in get_messages(answer.wsgi_request))


def banner(page: Any) -> str:
    return str(lxml.html.fromstring(page.text).get_element_by_id("refusal").text_content())


def sent(page: Any, inside: str) -> dict[str, str]:
    """Return what the form of this address on a page would send."""
    form = lxml.html.fromstring(page.text).xpath(f"//form[contains(@action, '{inside}')]")[0]
    return {name: value for name, value in form.form_values() if name != "csrfmiddlewaretoken"}


def as_seen(job: Job, action: str, why: str = "") -> dict[str, Any]:
    return {"action": action, "why": why, "version": job.version, "revision": job.revision_id}


def test_a_question_that_comes_second_is_not_dropped(client, colleague) -> None:
    job = factories.job(state="in_review")
    old = as_seen(job, "ask", WORDS)
    service.move(job_id=job.pk, to="waiting", by=colleague, why="Which colour?", mail="question")

    page = post(client, "act", job.number, **old)

    assert page.status_code == 409
    assert "waiting for customer" in banner(page)
    assert WORDS in banner(page)
    assert not job.history.filter(why=WORDS).exists()


def test_the_same_question_pressed_twice_is_asked_once(client) -> None:
    job = factories.job(state="in_review")
    old = as_seen(job, "ask", WORDS)
    assert [post(client, "act", job.number, **old).status_code for _ in range(2)] == [302, 302]
    assert job.history.filter(why=WORDS).count() == 1


def test_a_hold_that_the_page_did_not_show_is_neither_lifted_nor_written_over(client, colleague) -> None:
    job = factories.job(state="booked")
    service.hold(job_id=job.pk, by=colleague, reason="parts short")
    job.refresh_from_db()
    old = {name: as_seen(job, name, WORDS if name == "hold" else "") for name in ("release", "hold")}
    service.hold(job_id=job.pk, by=colleague, reason="the frame is cracked")

    for name, form in old.items():
        page = post(client, "act", job.number, **form)
        assert page.status_code == 409
        assert "has changed since you opened this page" in banner(page), name
        job.refresh_from_db()
        assert job.on_hold_reason == "the frame is cracked"


def test_a_new_link_pressed_twice_is_one_link_and_one_mail(client) -> None:
    job = factories.job(state="in_review")
    old = as_seen(job, "renew-link")
    assert [post(client, "act", job.number, **old).status_code for _ in range(2)] == [302, 409]
    assert OutboxEntry.objects.filter(payload__template="new_link").count() == 1


@pytest.mark.parametrize("state", ["ready", "in_the_bay"])
def test_a_job_that_is_closed_is_not_on_hold(client, colleague, state: str) -> None:
    job = factories.job(state=state)
    service.hold(job_id=job.pk, by=colleague, reason="the customer is away")
    if state == "ready":
        service.hand_over(job_id=job.pk, by=colleague, why="pays tomorrow")
    else:
        service.cancel(job_id=job.pk, by=colleague, why="sold it")

    job.refresh_from_db()
    assert (job.held, job.on_hold_reason) == (False, "")
    assert job.number not in client.get(reverse("shop:jobs"), {"only": "held"}).text
    assert "the customer is away" not in client.get(reverse("shop:jobs_csv")).getvalue().decode()


def test_a_recheck_that_is_due_is_named_though_an_older_job_kept_its_hold() -> None:
    job = factories.job(state="handed_over", recheck_due_on=timezone.localdate() - timedelta(days=1))
    Job.objects.update(on_hold_reason="the customer is away", held=True)
    client = Client()
    client.force_login(factories.staff("reviewer"))
    page = client.get(reverse("shop:inbox")).text
    assert job.number in page
    assert "the recheck is due" in page
    assert "the customer is away" not in page


@pytest.mark.long
def test_a_form_refused_because_the_job_had_changed_can_be_sent_from_the_page_that_says_so(client) -> None:
    job = factories.job(state="in_review")
    page = client.get(reverse("shop:job_notes", args=[job.number]))
    contact = sent(page, "/contact/") | {"contact-phone": "0221 4711", "contact-why": WORDS}
    service.hold(job_id=job.pk, by=factories.staff("buyer"), reason="ill")

    page = post(client, "correct_contact", job.number, **contact)
    assert page.status_code == 409
    assert "has changed since" in page.text
    again = sent(page, "/contact/")
    assert again["contact-why"] == WORDS
    assert post(client, "correct_contact", job.number, **again).status_code == 302


@pytest.mark.long
def test_a_yes_to_a_build_that_changed_is_taken_once_it_was_read_out_anew(client, colleague) -> None:
    job = factories.job(state="in_review", customer_agreed_revision=None)
    yes = sent(client.get(reverse("shop:job_notes", args=[job.number])), "/telephone/")
    job.revision = factories.revision(spec=job.spec)
    job.version += 1
    job.save()

    page = post(client, "telephone_yes", job.number, **yes)
    assert page.status_code == 409
    assert post(client, "telephone_yes", job.number, **sent(page, "/telephone/")).status_code == 302
    job.refresh_from_db()
    assert job.customer_agreed_revision_id == job.revision_id


def line(label: str, **more: Any) -> dict[str, Any]:
    """Return what the page of lines sends with one line written."""
    row = {"label": label, "kind": "repair", "resource": "bay", "hands_on_h": "1", "amount": "50"}
    form = {"press": "p", "line-TOTAL_FORMS": "1", "line-INITIAL_FORMS": "0"}
    return form | {f"line-0-{name}": value for name, value in row.items()} | more


@pytest.mark.long
def test_lines_of_a_job_in_review_are_not_proposed_unasked_once_it_is_agreed(client, demo_catalogue) -> None:
    job = factories.job(state="in_review")
    old = line("Weld it", version=job.version, why=WORDS)
    Job.objects.update(state="deposit_due", version=job.version + 2)

    page = post(client, "changes", job.number, **old)

    assert page.status_code == 409
    assert "has changed since" in page.text
    assert not Proposal.objects.exists()
    form = lxml.html.fromstring(page.text).get_element_by_id("propose").xpath(".//form")[0]
    again = {name: value for name, value in form.form_values() if name != "csrfmiddlewaretoken"}
    assert again["why"].strip() == WORDS
    assert post(client, "changes", job.number, **again).status_code == 302
    assert Proposal.objects.get().why == WORDS


def test_extra_work_for_a_job_handed_over_meanwhile_is_refused_in_words(client) -> None:
    job = factories.job(state="ready")
    form = line("Weld it", version=job.version, why=WORDS)
    Job.objects.update(state="handed_over")
    page = post(client, "changes", job.number, **form)
    assert page.status_code == 409
    assert WORDS in banner(page)
    assert "Weld it" in banner(page)


def proposed(job: Job, by: Any) -> Proposal:
    wanted = changes.Wanted(add=(Written("Weld it", 50),))
    return changes.propose(job_id=job.pk, wanted=wanted, why="rust", by=by, press="w")


@pytest.mark.long
def test_what_was_said_with_a_yes_is_kept_and_a_second_answer_is_not_called_recorded(
    client, colleague, demo_catalogue
) -> None:
    job = factories.job(state="in_the_bay")
    proposal = proposed(job, colleague)
    form = {"answer": "yes", "said_by": "Ida", "words": "but not the left one"}
    assert "is recorded" in said(post(client, "change_said", job.number, proposal.number, **form))
    proposal.refresh_from_db()
    assert proposal.answer == "but not the left one"
    assert "recorded twice" in said(post(client, "change_said", job.number, proposal.number, **form))


def in_the_bay() -> Job:
    job = factories.job(state="in_the_bay")
    by = factories.staff("technician")
    job.operations.exclude(key="front:torque").update(done_at=timezone.now(), done_by=by)
    return job


def readings(first: str) -> dict[str, str]:
    return {"do": "tick", "readings": f"{first} 160 160 160 160", "note": "crosswise"}


def test_a_step_that_a_change_took_off_is_told_with_what_was_entered(client) -> None:
    job = in_the_bay()
    step = job.operations.get(key="front:torque").pk
    job.operations.filter(pk=step).delete()
    page = post(client, "bench_step", job.number, step, **readings("159.5"))
    assert page.status_code == 409
    assert "no longer has this step" in banner(page)
    assert "159.5" in banner(page)


def test_a_tick_after_the_vehicle_was_called_ready_is_refused_in_words(client) -> None:
    job = in_the_bay()
    step = job.operations.get(key="front:torque")
    Job.objects.update(state="ready")
    page = post(client, "bench_step", job.number, step.pk, **readings("159.5"))
    assert page.status_code == 409
    assert "steps are ticked in the bay" in banner(page)
    assert "159.5" in banner(page)


@pytest.mark.long
def test_two_who_tick_one_step_are_told_whose_readings_stand(client, colleague) -> None:
    job = in_the_bay()
    step = job.operations.get(key="front:torque")
    assert post(client, "bench_step", job.number, step.pk, **readings("159.5")).status_code == 302
    assert "already so" in said(post(client, "bench_step", job.number, step.pk, **readings("159.5")))

    page = post(client, "bench_step", job.number, step.pk, **readings("161.5"))

    assert page.status_code == 409
    assert "what you entered was not kept" in banner(page)
    assert "161.5" in banner(page)
    step.refresh_from_db()
    assert step.torque_readings[0] == 159.5


@pytest.mark.long
def test_a_step_left_out_is_not_called_done_nor_the_other_way_round(client, colleague) -> None:
    job = factories.job(state="in_the_bay")
    step = job.operations.get(key="lacquer")
    bench.skip(job_id=job.pk, step_id=step.pk, by=colleague, reason="came lacquered")
    page = post(client, "bench_step", job.number, step.pk, do="tick", reason="x", note="two coats")
    assert "has been left out" in banner(page)
    assert "two coats" in banner(page)

    other = job.operations.get(key="book-in")
    bench.tick(job_id=job.pk, step_id=other.pk, by=colleague)
    page = post(client, "bench_step", job.number, other.pk, do="skip", reason="no need")
    assert "has been done" in banner(page)


def test_why_a_build_is_changed_is_kept_when_another_revision_came_first(client, demo_catalogue) -> None:
    job = factories.job(state="in_review")
    page = post(client, "amend", job.number, press="p", version=job.version, why=WORDS, do="store")
    assert page.status_code == 409
    assert "Nothing is chosen for the build as it is now" in banner(page)
    assert WORDS in banner(page)
