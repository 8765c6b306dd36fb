"""How a customer is reached, put right on their page: a mail address counts once it is proved."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from shop.models import Job, NewAddress, OutgoingMail
from shop.privacy.forgetting import forget, purge
from shop.tracking import contact
from tests.shop import factories

pytestmark = pytest.mark.django_db(transaction=True)
OLD, NEW = "ida@customer.example", "ida@elsewhere.example"


@pytest.fixture
def job(workshop: Any) -> Job:
    """A job whose mails went out."""
    made = factories.job()
    mail.outbox.clear()
    return made


def ask(client: Client, job: Job, email: str = NEW) -> Any:
    """Ask for another address on the page."""
    return client.post(f"/job/{job.token}/mail/", {"mail-email": email}, follow=True)


def link_in(message: Any) -> str:
    """Return the path of the link in a mail."""
    return re.search(r"http://[^/\s]+(/job/new-address/\S+)", message.body)[1]  # type: ignore[index]


def told_to(address: str) -> list[Any]:
    """Return what went to an address."""
    return [each for each in mail.outbox if each.to == [address]]


def email_of(job: Job) -> str:
    """Return where the job's mails go."""
    return Job.objects.select_related("revision").get(pk=job.pk).revision.email


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("+49\u00a0221\u2013712\u201134", "+49 221-712-34"),
        ("\u202a+49 221 71234\u202c", "+49 221 71234"),
        ("\uff10221 \u0667\u0661\u0662\u0663", "0221 7123"),
        ("call me", None),
        ("-----", None),
    ],
)
def test_a_number_is_taken_as_it_is_pasted_and_nothing_else_called_one(
    client: Client, job: Job, typed: str, kept: str | None
) -> None:
    answer = client.post(f"/job/{job.token}/phone/", {"phone-phone": typed}, follow=True)
    html = answer.content.decode()
    assert ("We call you at this number." in html) == (kept is not None)
    assert ("Write a telephone number in figures" in html) == (kept is None)
    assert Job.objects.select_related("revision").get(pk=job.pk).revision.phone == (kept or "")


@pytest.mark.long
def test_a_number_taken_away_is_not_one_to_call(client: Client, job: Job) -> None:
    client.post(f"/job/{job.token}/phone/", {"phone-phone": "0221 7123"})
    client.get(f"/job/{job.token}/")
    html = client.post(f"/job/{job.token}/phone/", {"phone-phone": ""}, follow=True).content.decode()
    assert "We have no telephone number of yours any more." in html
    assert "We call you" not in html


@pytest.mark.long
def test_a_telephone_number_counts_at_once_and_is_on_record(client: Client, job: Job) -> None:
    answer = client.post(f"/job/{job.token}/phone/", {"phone-phone": " 0221 99 "}, follow=True)
    assert "0221 99" in answer.content.decode()
    entry = job.history.get(action="job.contact_corrected")
    assert entry.who == "customer"
    assert entry.data == {"before": {"phone": ""}, "after": {"phone": "0221 99"}}
    client.post(f"/job/{job.token}/phone/", {"phone-phone": "0221 99"})
    assert job.history.filter(action="job.contact_corrected").count() == 1


@pytest.mark.long
def test_a_new_address_counts_once_its_link_was_opened_and_the_old_one_is_told(
    client: Client, job: Job
) -> None:
    assert "We have written to the new address." in ask(client, job).content.decode()
    (question,) = told_to(NEW)
    assert job.token not in question.body
    assert email_of(job) == OLD
    assert told_to(OLD) == []

    link = link_in(question)
    assert client.get(link).status_code == 200
    assert email_of(job) == OLD  # looking changes nothing: mail programs follow links
    answer = client.post(link, follow=True)
    assert "We write to this address from now on." in answer.content.decode()
    assert email_of(job) == NEW
    (told,) = told_to(OLD)
    assert "another mail address" in told.body
    assert NEW not in told.body
    assert job.token not in told.body
    assert "+49 221 4710 000" in told.body
    assert client.get(link).status_code == 404
    assert not NewAddress.objects.exists()
    assert client.get(f"/job/{job.token}/").status_code == 200


def test_what_waits_goes_to_the_proved_address(client: Client, job: Job) -> None:
    ask(client, job)
    waiting = OutgoingMail.objects.create(job=job, key="k", kind="message", to=OLD, subject="s", text="t")
    client.post(link_in(told_to(NEW)[0]))
    waiting.refresh_from_db()
    assert waiting.to == NEW


@pytest.mark.long
def test_asked_again_the_newer_link_stands(client: Client, job: Job) -> None:
    ask(client, job)
    ask(client, job, "typo@elsewhere.example")
    first, second = told_to(NEW)[0], told_to("typo@elsewhere.example")[0]
    assert client.get(link_in(first)).status_code == 404
    assert client.get(link_in(second)).status_code == 200


@pytest.mark.long
def test_taken_back_or_run_out_the_link_opens_nothing(client: Client, job: Job) -> None:
    ask(client, job)
    link = link_in(told_to(NEW)[0])
    text = client.post(f"/job/{job.token}/mail/", {"keep": "1"}, follow=True).content.decode()
    assert "Your mail address stays as it was." in text
    assert client.post(link).status_code == 404
    ask(client, job)
    NewAddress.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert client.post(link_in(told_to(NEW)[-1])).status_code == 404
    assert email_of(job) == OLD
    purge()
    assert not NewAddress.objects.exists()


def test_changed_between_looking_and_pressing_nothing_is_taken(job: Job) -> None:
    row = contact.ask(job_id=job.pk, email=NEW)
    assert row
    contact.ask(job_id=job.pk, email="later@elsewhere.example")
    with pytest.raises(Exception, match="changed meanwhile"):
        contact.confirm(row_id=row.pk, email=NEW)
    assert email_of(job) == OLD


def test_the_address_that_we_have_asks_nobody(client: Client, job: Job) -> None:
    assert "it stays" in ask(client, job, OLD.upper()).content.decode()
    assert mail.outbox == []


def test_a_wrong_address_is_told_beside_its_field_and_kept(client: Client, job: Job) -> None:
    answer = ask(client, job, "ida@nowhere")
    assert answer.status_code == 400
    assert 'value="ida@nowhere"' in answer.content.decode()
    assert mail.outbox == []


@pytest.mark.long
def test_one_address_is_not_written_to_for_ever(client: Client, job: Job, settings: Any) -> None:
    settings.LIMITS = {"recipient": "2/day"}
    for _try in range(2):
        ask(client, job, "often@elsewhere.example")
    answer = ask(client, job, "often@elsewhere.example")
    assert answer.status_code == 429
    assert len(told_to("often@elsewhere.example")) == 2


@pytest.mark.long
def test_one_job_does_not_write_to_any_number_of_people(client: Client, job: Job, settings: Any) -> None:
    """Each stranger's address is new, so only the job tells that it is always the same asking."""
    settings.LIMITS = {"recipient": "2/day"}
    answers = [ask(client, job, f"stranger{number}@elsewhere.example") for number in range(4)]
    assert [answer.status_code for answer in answers] == [200, 200, 429, 429]
    assert "stranger3@elsewhere.example" in answers[3].content.decode()
    assert len(mail.outbox) == 2


def test_staff_who_look_change_nothing(client: Client, job: Job, reviewer: Any) -> None:
    ask(client, job)
    client.force_login(reviewer)
    assert client.post(f"/job/{job.token}/phone/", {"phone-phone": "1"}).status_code == 403
    client.post(link_in(told_to(NEW)[0]))
    assert email_of(job) == OLD


@pytest.mark.long
def test_who_is_forgotten_is_forgotten_here_too(client: Client, job: Job, reviewer: Any) -> None:
    ask(client, job)
    Job.objects.update(state="cancelled")
    forget(email=OLD, by=reviewer, why="Asked for it.")
    assert not NewAddress.objects.exists()
