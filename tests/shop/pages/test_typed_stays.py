"""What staff typed is on the page again when a form is refused, also when the form itself is gone by then."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.jobs import changes, service
from shop.jobs.entering import Written
from shop.models import BrokenPromise, DateWish, HistoryEntry, Job, Message, StatementEntry
from shop.money.models import StatementFile
from tests.shop import factories

pytestmark = pytest.mark.django_db
WORDS = "Ring Mrs Kröger after five, <she> has the & key."


@pytest.fixture
def manager() -> Any:
    return factories.staff("manager", "reviewer", name="anke")


@pytest.fixture
def client(manager: Any) -> Client:
    client = Client()
    client.force_login(manager)
    return client


def post(client: Client, name: str, *args: Any, **data: Any) -> Any:
    return client.post(reverse(f"shop:{name}", args=args), data)


def field(page: Any, name: str, inside: str = "") -> Any:
    """Return what stands in the one field of this name, in the form sent to the address with ``inside``."""
    found = lxml.html.fromstring(page.text).xpath(f"//form[contains(@action, '{inside}')]//*[@name='{name}']")
    assert len(found) == 1, (name, len(found))
    value = found[0].value
    # HTML's own rule: a browser drops one line's end right after the tag (WHATWG HTML, 13.1.2.5).
    return value.removeprefix("\n") if found[0].tag == "textarea" else value


def banner(page: Any) -> str:
    return str(lxml.html.fromstring(page.text).get_element_by_id("refusal").text_content())


@pytest.mark.long
def test_a_reason_that_is_too_long_or_none_stays_at_its_button(client: Client) -> None:
    job = factories.job(state="in_review")
    long = WORDS + "x" * 2000
    for action in ("hold", "ask", "decline", "confirm"):
        sent = {"action": action, "why": long, "version": job.version, "revision": job.revision_id}
        page = post(client, "act", job.number, **sent)
        assert page.status_code == 400
        form = lxml.html.fromstring(page.text).get_element_by_id(f"do-{action}")
        assert form.xpath(".//textarea")[0].value.strip() == long
        (error,) = form.xpath(".//*[@class='error']")
        assert "at most 2000 characters" in error.text_content()
        assert f"error-{action}" in form.xpath(".//textarea/@aria-describedby")[0]
    page = post(client, "act", job.number, action="hold", why="  ")
    assert page.status_code == 400
    assert "Say what it is waiting for." in page.text
    assert not HistoryEntry.objects.filter(job=job, action="job.held").exists()


def test_a_reason_for_what_cannot_be_done_any_more_stands_above(client: Client, manager: Any) -> None:
    job = factories.job(state="in_review")
    service.cancel(job_id=job.pk, by=manager, why="sold")
    page = post(client, "act", job.number, action="hold", why=WORDS)
    assert page.status_code == 409
    assert WORDS in banner(page)


@pytest.mark.parametrize("kind", ["call", "inner"])
def test_a_note_that_is_refused_stays_with_all_beside_it(client: Client, kind: str) -> None:
    job = factories.job()
    long = WORDS + "x" * 4000
    typed = {"note-kind": kind, "note-spoken_with": "Ms Sommer", "note-text": long, "note-press": "k"}
    page = post(client, "add_note", job.number, **typed)
    assert page.status_code == 422
    for name, value in typed.items():
        assert field(page, name, "/notes/") == value
    assert not HistoryEntry.objects.filter(action__startswith="note.").exists()


def test_a_message_to_the_customer_that_is_refused_stays(client: Client) -> None:
    job = factories.job()
    long = WORDS + "x" * 4000
    page = post(client, "job_messages", job.number, **{"staff-text": long, "staff-press": "k"})
    assert page.status_code == 400
    assert field(page, "staff-text", "/messages/") == long
    assert not Message.objects.exists()


def test_a_note_of_what_was_measured_stays_when_the_job_is_over(client: Client, manager: Any) -> None:
    unsure = factories.fit_row(verdict="measure", value=3.5, margin=0.5)
    job = factories.job(factories.evaluation(unsure), state="in_review")
    sent = {"key": "front-brake_clearance", "value": "4.25", "uncertainty": "0.75", "note": WORDS}
    too_long = post(client, "measured", job.number, **sent | {"note": WORDS + "x" * 200})
    assert (too_long.status_code, field(too_long, "note", "/measure")) == (422, WORDS + "x" * 200)
    unknown = post(client, "measured", job.number, **sent | {"key": "rear-nonsense"})
    assert (unknown.status_code, WORDS in banner(unknown)) == (409, True)
    service.cancel(job_id=job.pk, by=manager, why="sold")
    page = post(client, "measured", job.number, **sent)
    assert page.status_code == 409
    assert "nothing is measured now" in page.text
    assert {name: field(page, name, "/measure") for name in sent} == sent
    assert not job.measurements.exists()


def test_why_dates_are_taken_back_stays_when_a_colleague_was_faster(client: Client) -> None:
    job = factories.job(state="booked", booked_start=timezone.now())
    Job.objects.filter(pk=job.pk).update(version=job.version + 1)
    typed = {"back-why": WORDS, "back-version": job.version}  # and the mail is unticked
    page = post(client, "dates_back", job.number, **typed)
    assert page.status_code == 409
    assert "has changed since you opened this page" in page.text
    assert field(page, "back-why", "/back/") == WORDS
    assert field(page, "back-tell", "/back/") is None
    assert field(page, "back-version", "/back/") == str(job.version + 1)
    Job.objects.filter(pk=job.pk).update(state="in_the_bay")
    page = post(client, "dates_back", job.number, **typed)
    assert (page.status_code, WORDS in banner(page)) == (409, True)


@pytest.mark.long
def test_answers_about_dates_that_nobody_waits_for_stand_above(client: Client) -> None:
    job = factories.job(state="parts_in")
    for name, prefix in (("dates_stand", "stand"), ("dates_no", "no")):
        page = post(client, name, job.number, **{f"{prefix}-why": WORDS})
        assert page.status_code == 409
        assert WORDS in banner(page)
    assert not BrokenPromise.objects.exists()
    DateWish.objects.create(job=job, days=[])
    page = post(client, "dates_no", job.number, **{"no-why": WORDS + "x" * 300})
    assert (page.status_code, field(page, "no-why", "/no/")) == (422, WORDS + "x" * 300)


@pytest.mark.long
def test_what_was_noted_of_a_change_stays_when_it_was_answered_meanwhile(
    client: Client, manager: Any, demo_catalogue: Any
) -> None:
    job = factories.job(state="in_the_bay")
    proposal = changes.propose(
        job_id=job.pk, wanted=changes.Wanted(add=(Written("Weld", Decimal(80)),)), why="Rust.", by=manager,
        press="p",
    )  # fmt: skip
    said = {"said_by": "Ms Sommer", "words": WORDS, "answer": "no"}
    for name, typed, key in (("change_said", said, "words"), ("change_withdrawn", {"why": WORDS}, "why")):
        page = post(client, name, job.number, proposal.number, **typed | {key: WORDS + "x" * 2000})
        assert (page.status_code, field(page, key, f"/{proposal.number}/")) == (422, WORDS + "x" * 2000)
    proposal.state = "agreed"
    proposal.save()
    for name, typed in (("change_said", said), ("change_withdrawn", {"why": WORDS})):
        page = post(client, name, job.number, proposal.number, **typed)
        assert (page.status_code, WORDS in banner(page)) == (409, True)


def test_a_note_with_money_that_is_too_long_stays_and_nothing_is_set_aside(client: Client) -> None:
    file = StatementFile.objects.create(name="a.csv", digest="d")
    entry = StatementEntry.objects.create(
        file=file, key="k", amount=5, currency="EUR", booked_on=timezone.localdate()
    )
    long = WORDS + "x" * 200
    page = post(client, "set_aside", entry.pk, note=long)
    entry.refresh_from_db()
    assert (page.status_code, entry.state) == (422, "open")
    assert field(page, "note", "/aside/") == long
    assert "at most 200 characters" in page.text
