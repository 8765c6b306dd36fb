"""What a customer does on the page: accept, answer, write, call off; each once."""

from __future__ import annotations

import re
from typing import Any

import lxml.html
import pytest
from django.test import Client

from shop.jobs.agreement import answer_as_customer, ask_customer
from shop.jobs.service import start_work
from shop.jobs.states import State
from shop.messages.conversation import write_as_workshop
from shop.models import HistoryEntry, Job, Message
from tests.shop import factories
from tests.shop.tracking.conftest import amended, offered, questioned

pytestmark = pytest.mark.django_db


def post(client: Client, job: Job, what: str, **data: Any) -> Any:
    """Post one form of the job's page and follow where it leads."""
    prefix = {"write": "message"}.get(what, what)
    fields = {f"{prefix}-{name}": value for name, value in data.items()}
    return client.post(f"/job/{job.token}/{what}/", fields, follow=True)


def test_a_change_is_shown_in_plain_words_before_it_is_accepted(client: Client, reviewer: Any) -> None:
    job = offered(reviewer)

    text = client.get(f"/job/{job.token}/").content.decode()

    assert "We have changed something and need your yes" in text
    assert "The grille is not made any more." in text
    assert "€1,190.00" in text
    assert "€990.00" in text
    assert f'name="accept-revision" value="{job.revision_id}"' in text


def test_accepting_agrees_to_that_revision_and_keeps_what_was_agreed_to(
    client: Client, reviewer: Any
) -> None:
    job = offered(reviewer)

    answer = post(client, job, "accept", revision=job.revision_id, consent="on")

    job.refresh_from_db()
    assert job.state == State.DEPOSIT_DUE
    assert job.agreed_revision_id == job.revision_id
    assert "You have accepted this version." in answer.content.decode()
    consent = HistoryEntry.objects.get(action="tracking.consent_given")
    assert consent.who == "customer"
    assert consent.data == {
        "revision": 2,
        "total": "990.00",
        "currency": "EUR",
        "terms_version": "7",
        "words": "I agree to this version at this price",
    }


@pytest.mark.long
def test_accepting_twice_accepts_once(client: Client, reviewer: Any) -> None:
    job = offered(reviewer)

    for _press in range(2):
        post(client, job, "accept", revision=job.revision_id, consent="on")

    assert HistoryEntry.objects.filter(action="job.customer_agreed").count() == 1
    assert HistoryEntry.objects.filter(action="tracking.consent_given").count() == 1
    assert HistoryEntry.objects.filter(to_state=State.AGREED).count() == 1


def test_accepting_a_revision_that_is_no_longer_the_newest_is_told_clearly(
    client: Client, reviewer: Any
) -> None:
    job = offered(reviewer)
    seen = job.revision_id
    amended(job, factories.evaluation(price=factories.price("2000.00")))

    answer = post(client, job, "accept", revision=seen, consent="on")

    assert "has changed the build since you opened this page" in answer.content.decode()
    job.refresh_from_db()
    assert job.state == State.WAITING
    assert job.customer_agreed_revision_id != seen


@pytest.mark.long
def test_accepting_without_the_tick_or_with_nonsense_changes_nothing(client: Client, reviewer: Any) -> None:
    job = offered(reviewer)

    for data in ({"revision": job.revision_id}, {"consent": "on", "revision": "x"}, {"consent": "on"}):
        answer = client.post(f"/job/{job.token}/accept/", {f"accept-{k}": v for k, v in data.items()})
        assert answer.status_code == 400
    assert "Tick this to accept." in post(client, job, "accept", revision=job.revision_id).content.decode()
    job.refresh_from_db()
    assert job.state == State.WAITING


def test_another_jobs_revision_cannot_be_accepted(client: Client, reviewer: Any) -> None:
    job = offered(reviewer)
    stranger = factories.job()

    post(client, job, "accept", revision=stranger.revision_id, consent="on")

    job.refresh_from_db()
    assert job.state == State.WAITING


@pytest.mark.long
def test_an_answer_goes_back_to_the_workshop_and_into_the_conversation(client: Client, reviewer: Any) -> None:
    job = questioned(reviewer)
    assert "Is there a radar behind the badge?" in client.get(f"/job/{job.token}/").content.decode()

    post(client, job, "answer", answer="Yes, there is.")

    job.refresh_from_db()
    assert job.state == State.IN_REVIEW
    said = list(Message.objects.values_list("from_customer", "text"))
    assert said == [(False, "Is there a radar behind the badge?"), (True, "Yes, there is.")]
    answer = post(client, job, "answer", answer="Yes, there is.")  # the back button
    assert answer.status_code == 200
    assert Message.objects.count() == 2


def test_an_answer_that_nobody_waits_for_is_not_lost(client: Client, reviewer: Any) -> None:
    """The workshop may have gone on by itself while the customer was writing."""
    job = questioned(reviewer)
    answer_as_customer(job_id=job.pk, answer="Yes, said on the telephone.")
    answer = post(client, job, "answer", answer="There is one, and a camera too.")
    html = answer.content.decode()
    assert (answer.status_code, "We do not wait for an answer any more." in html) == (409, True)
    assert "There is one, and a camera too.</textarea>" in html


def test_an_answer_to_an_older_question_is_none_to_what_is_asked_now(client: Client, reviewer: Any) -> None:
    job = questioned(reviewer)
    shown = client.get(f"/job/{job.token}/").content.decode()
    asked = re.search(r'name="answer-asked" value="(\d+)"', shown)[1]  # type: ignore[index]
    answer_as_customer(job_id=job.pk, answer="Yes.")
    ask_customer(job_id=job.pk, by=reviewer, question="And what is it?")
    late = post(client, job, "answer", answer="No radar.", asked=asked)
    html = late.content.decode()
    assert "We have asked you something else since you opened this page." in html
    assert "No radar.</textarea>" in html
    job.refresh_from_db()
    assert job.state == State.WAITING


def test_an_empty_answer_keeps_the_page_and_says_so(client: Client, reviewer: Any) -> None:
    job = questioned(reviewer)
    answer = client.post(f"/job/{job.token}/answer/", {"answer-answer": "  "})
    assert answer.status_code == 400
    assert "This field is required." in answer.content.decode()


@pytest.mark.long
def test_a_message_is_kept_once_escaped_and_told_to_the_workshop(
    client: Client, workshop: Any, django_capture_on_commit_callbacks: Any, mailoutbox: Any
) -> None:
    job = factories.job()
    words = "<script>alert(1)</script> & =cmd()"

    with django_capture_on_commit_callbacks(execute=True):
        post(client, job, "write", text=words, press="once")
    answer = post(client, job, "write", text=words, press="once")

    assert Message.objects.get().text == words
    text = answer.content.decode()
    assert "<script>alert(1)" not in text
    assert "&lt;script&gt;alert(1)" in text
    (mail,) = [m for m in mailoutbox if m.to == ["desk@workshop.example"]]
    assert mail.subject == f"{job.number}: the customer has written"


@pytest.mark.long
def test_messages_are_limited_within_the_hour(client: Client) -> None:
    job = factories.job()
    for number in range(19):
        Message.objects.create(job=job, from_customer=True, text="Hello?", press=f"p{number}")
    post(client, job, "write", text="Hello?", press="p19")
    assert Message.objects.count() == 20
    answer = client.post(f"/job/{job.token}/write/", {"message-text": "Hello?", "message-press": "p20"})
    assert answer.status_code == 400
    assert "Please call us instead." in answer.content.decode()
    assert "Hello?</textarea>" in answer.content.decode()
    assert Message.objects.count() == 20


@pytest.mark.parametrize("text", ["", "x" * 4001, "null\x00byte"])
def test_bad_messages_are_refused_beside_the_field(client: Client, text: str) -> None:
    answer = client.post(f"/job/{factories.job().token}/write/", {"message-text": text, "message-press": "a"})
    assert answer.status_code == 400
    assert not Message.objects.exists()


@pytest.mark.long
def test_calling_off_needs_a_reason_and_a_tick_and_happens_once(client: Client) -> None:
    job = factories.job()
    assert client.post(f"/job/{job.token}/cancel/", {"cancel-why": "Sold it."}).status_code == 400

    for _press in range(2):
        answer = post(client, job, "cancel", why="Sold it.", sure="on")

    job.refresh_from_db()
    assert job.state == State.CANCELLED
    assert "Sold it." in answer.content.decode()
    assert HistoryEntry.objects.filter(to_state=State.CANCELLED).count() == 1


@pytest.mark.long
def test_nothing_can_be_called_off_once_work_has_begun(client: Client) -> None:
    job = factories.job(state=State.BOOKED)
    start_work(job_id=job.pk, by=factories.staff("technician"))

    page = client.get(f"/job/{job.token}/").content.decode()
    answer = post(client, job, "cancel", why="Too late.", sure="on")

    assert 'name="cancel-why"' not in page
    assert "can no longer be called off here" in answer.content.decode()
    job.refresh_from_db()
    assert job.state == State.IN_THE_BAY


def test_forms_carry_a_token_against_forgery() -> None:
    job = factories.job()
    strict = Client(enforce_csrf_checks=True)
    for what in ("write", "answer", "accept", "cancel"):
        assert strict.post(f"/job/{job.token}/{what}/", {}).status_code == 403


def test_staff_look_at_the_customers_page_and_act_for_nobody(client: Client, reviewer: Any) -> None:
    job = offered(reviewer)
    write_as_workshop(job_id=job.pk, text="We have looked.", press="a", user=reviewer)
    client.force_login(reviewer)
    page = client.get(f"/job/{job.token}/").content.decode()
    assert "to look at only" in page
    assert "We have looked." in page
    for form in ("accept", "answer", "write", "cancel"):
        assert f"/job/{job.token}/{form}/" not in page
    accepted = {"revision": job.revision_id, "agree": "on"}
    assert client.post(f"/job/{job.token}/accept/", accepted).status_code == 403
    job.refresh_from_db()
    assert job.state == "waiting"
    assert job.messages.get(text="We have looked.").read_at is None


@pytest.mark.parametrize(
    ("what", "state", "data"),
    [
        ("answer", "deposit_due", {"answer": "Yes, <two> bars & a hook."}),
        ("cancel", "in_the_bay", {"why": "Yes, <two> bars & a hook.", "sure": "on"}),
        ("days", "in_the_bay", {"first": "2099-01-05", "note": "Yes, <two> bars & a hook."}),
    ],
)
def test_what_came_too_late_waits_as_a_message(
    client: Client, reviewer: Any, what: str, state: str, data: dict[str, str]
) -> None:
    job = questioned(reviewer)
    Job.objects.filter(pk=job.pk).update(state=state)

    answer = post(client, job, what, **data)

    assert answer.status_code == 409
    (field,) = lxml.html.fromstring(answer.text).xpath("//textarea[@name='message-text']")
    assert field.value.strip() == "Yes, <two> bars & a hook."
    assert "stands below as a message" in answer.text
    assert ("We do not wait for an answer any more." in answer.text) == (what == "answer")
    assert not Message.objects.filter(from_customer=True).exists()
