"""The workshop's side of the conversation."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from configurator.models import OutboxEntry
from shop.messages.conversation import write_as_customer
from shop.messages.models import Message, OutgoingMail
from tests.shop import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client: Client) -> Client:
    """Return a browser in which a reviewer has signed in."""
    client.force_login(factories.staff("reviewer", name="mira"))
    return client


def test_staff_read_and_answer_and_the_customer_is_mailed_once(
    desk: Client, django_capture_on_commit_callbacks: Any, mailoutbox: Any
) -> None:
    job = factories.job()
    write_as_customer(job_id=job.pk, text="Which black is it?", press="a")
    address = f"/workshop/jobs/{job.number}/messages/"
    assert "Which black is it?" in desk.get(address).content.decode()
    assert Message.objects.get().read_at is not None

    with django_capture_on_commit_callbacks(execute=True):
        for _press in range(2):
            desk.post(address, {"staff-text": "Gloss <black>.", "staff-press": "one"})

    answer = Message.objects.get(from_customer=False)
    assert (answer.text, answer.user.username) == ("Gloss <black>.", "mira")
    (mail,) = [m for m in mailoutbox if m.subject.startswith("A message")]
    assert "Gloss <black>." in mail.body
    assert "Gloss &lt;black&gt;." in mail.alternatives[0][0]
    assert "Gloss &lt;black&gt;." in Client().get(f"/job/{job.token}/").content.decode()
    answer.refresh_from_db()
    assert answer.read_at is not None


def test_an_empty_message_is_told_beside_its_field(desk: Client) -> None:
    job = factories.job()
    answer = desk.post(f"/workshop/jobs/{job.number}/messages/", {"staff-text": " ", "staff-press": "x"})
    assert answer.status_code == 400
    assert "This field is required." in answer.content.decode()


@pytest.mark.parametrize("role", ["buyer", "technician"])
def test_who_does_not_see_customers_does_not_see_their_messages(client: Client, role: str) -> None:
    job = factories.job(state="parts_in")
    client.force_login(factories.staff(role))
    assert client.get(f"/workshop/jobs/{job.number}/messages/").status_code == 403


def test_strangers_are_sent_to_sign_in(client: Client) -> None:
    answer = client.get(f"/workshop/jobs/{factories.job().number}/messages/")
    assert (answer.status_code, answer.url.split("?")[0]) == (302, "/sign-in/")


def test_a_mail_that_was_given_up_can_be_sent_from_the_page(
    desk: Client, django_capture_on_commit_callbacks: Any, mailoutbox: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        job = factories.job()
    mailoutbox.clear()
    OutgoingMail.objects.update(state="failed", error="TimeoutError: ")
    OutboxEntry.objects.filter(kind="mail").update(state="failed", attempts=8)
    mail = OutgoingMail.objects.get()
    page = f"/workshop/jobs/{job.number}/messages/"
    assert "TimeoutError" in desk.get(page).content.decode()

    with django_capture_on_commit_callbacks(execute=True):
        desk.post(f"{page}mail/{mail.pk}/again/")
        desk.post(f"{page}mail/{mail.pk}/again/")

    mail.refresh_from_db()
    assert mail.state == "sent"
    assert len(mailoutbox) == 1


def test_a_mail_of_another_job_is_not_found(desk: Client, django_capture_on_commit_callbacks: Any) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        one, _other = factories.job(), factories.job()
    mail = OutgoingMail.objects.exclude(job=one).get()
    assert desk.post(f"/workshop/jobs/{one.number}/messages/mail/{mail.pk}/again/").status_code == 404


@pytest.mark.long
def test_the_inbox_says_that_a_customer_has_written_until_it_is_read(desk: Client) -> None:
    job = factories.job(state="parts_on_order")
    write_as_customer(job_id=job.pk, text="When?", press="a")
    assert "The customer has written" in desk.get("/workshop/").content.decode()
    assert "Messages (1 new)" in desk.get(f"/workshop/jobs/{job.number}/").content.decode()

    desk.get(f"/workshop/jobs/{job.number}/messages/")
    assert "The customer has written" not in desk.get("/workshop/").content.decode()
