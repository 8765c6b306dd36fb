"""A build waits until the link in a mail was opened, so that nobody has the workshop write to a stranger."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from configurator.builds.plain_names import without_links
from configurator.models import OutboxEntry, PendingSend
from shop.models import Job, OutgoingMail
from shop.privacy.forgetting import purge
from tests.pages.conftest import CONTACT, Visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _confirmed_first(settings: Any) -> None:
    settings.KERBLINE_CONFIRM_ADDRESS = True


@pytest.fixture
def sent(visitor: Visitor, django_capture_on_commit_callbacks: Any) -> Visitor:
    """A visitor who pressed Send and has a mail in the box."""
    with django_capture_on_commit_callbacks(execute=True):
        answer = visitor.send(name="Win now www.prize.example Ida")
    assert answer["Location"] == f"{visitor.url}waiting/"
    return visitor


def link_of(message: Any) -> str:
    return re.search(r"http://\S+(/confirm/\S+)", message.body)[1]  # type: ignore[index]


def test_nothing_reaches_the_workshop_before_the_link_is_opened(sent: Visitor) -> None:
    assert Job.objects.count() == 0
    assert sent.spec.sent_at is None
    (message,) = mail.outbox
    assert message.to == [CONTACT["email"]]
    # Nothing of what the sender typed is in the mail.
    for typed in ("Ida", "prize", CONTACT["notes"], CONTACT["registration"]):
        assert typed not in message.body + message.subject
    page = sent.client.get(f"{sent.url}waiting/").content.decode()
    assert CONTACT["email"] in page
    assert "works until" in page


@pytest.mark.long
def test_opening_the_link_alone_sends_nothing_and_the_button_sends_once(sent: Visitor) -> None:
    phone, address = Client(), link_of(mail.outbox[0])
    page = phone.get(address)
    assert (page.status_code, page["Cache-Control"][:7]) == (200, "max-age")
    assert "no-store" in page["Cache-Control"]
    assert Job.objects.count() == 0
    answers = [phone.post(address) for _ in range(2)]
    job = Job.objects.get()
    assert [answer["Location"] for answer in answers] == [f"/job/{job.token}/"] * 2
    assert job.revision.name == "Win now Ida"
    assert job.revision.terms_text
    # Somebody else with the mail's link learns no more than that it was sent.
    stranger = Client().get(address)
    assert "has been sent" in stranger.content.decode()
    assert job.token not in stranger.content.decode()
    assert PendingSend.objects.get().contact == {}


@pytest.mark.long
def test_a_browser_that_confirmed_sends_at_once_and_only_with_that_address(sent: Visitor) -> None:
    sent.client.post(link_of(mail.outbox[0]))
    second = Visitor(sent.client)
    assert second.send()["Location"].startswith("/job/")
    third = Visitor(sent.client)
    assert third.send(email="other@customer.example")["Location"].endswith("/waiting/")
    assert Job.objects.count() == 2


@pytest.mark.long
def test_sent_again_with_another_address_only_the_newer_link_works(
    sent: Visitor, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        sent.send(email="right@customer.example")
    old, new = mail.outbox
    assert new.to == ["right@customer.example"]
    assert Client().get(link_of(old)).status_code == 404
    assert Client().post(link_of(new)).status_code == 302
    assert Job.objects.get().revision.email == "right@customer.example"


@pytest.mark.long
def test_a_build_changed_since_is_looked_at_once_more(sent: Visitor) -> None:
    sent.post(**{**CONTACT, "accent": "", "f-calipers": []})
    answer = sent.client.post(link_of(mail.outbox[0]), follow=True)
    assert Job.objects.count() == 0
    assert "it was not sent yet" in answer.content.decode()
    sent.post(**CONTACT)
    assert sent.post(**{**CONTACT, "do": "send"})["Location"].startswith("/job/")


@pytest.mark.long
def test_a_link_runs_out_and_what_waited_is_let_go_of(sent: Visitor) -> None:
    PendingSend.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert Client().get(link_of(mail.outbox[0])).status_code == 404
    purge()
    assert PendingSend.objects.count() == 0
    assert sent.client.get(f"{sent.url}waiting/")["Location"] == sent.url


@pytest.mark.long
def test_one_stranger_gets_a_few_mails_whoever_asks_for_them(
    sent: Visitor, settings: Any, django_capture_on_commit_callbacks: Any
) -> None:
    settings.LIMITS = {"recipient": "2/day"}
    answers = []
    for number in range(3):
        other = Visitor(Client(REMOTE_ADDR=f"192.0.2.{number}"))
        with django_capture_on_commit_callbacks(execute=True):
            answers.append(other.send())
    assert [answer.status_code for answer in answers] == [302, 302, 429]
    assert "as many mails went out" in answers[-1].content.decode()
    assert len(mail.outbox) == 3


def test_the_database_alone_opens_no_link(sent: Visitor) -> None:
    token = link_of(mail.outbox[0]).split("/")[2]
    rows = [*PendingSend.objects.values(), *OutboxEntry.objects.values(), *OutgoingMail.objects.values()]
    assert token not in repr(rows)


@pytest.mark.long
def test_without_the_setting_a_build_goes_at_once(visitor: Visitor, settings: Any) -> None:
    settings.KERBLINE_CONFIRM_ADDRESS = False
    assert visitor.send()["Location"].startswith("/job/")


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("Ida Holm", "Ida Holm"),
        ("Dr.Holm", "Dr. Holm"),
        ("You won https://prize.example/x?y now", "You won now"),
        ("prize.example", "prize. example"),
        ("www.prize.example", ""),
    ],
)
def test_names_carry_no_links(typed: str, kept: str) -> None:
    assert without_links(typed) == kept


@pytest.mark.long
def test_a_name_that_is_only_a_link_is_told_beside_its_field(visitor: Visitor) -> None:
    answer = visitor.send(name="www.prize.example")
    assert answer.status_code == 422
    assert "a web address is none" in answer.content.decode()
