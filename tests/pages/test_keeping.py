"""What is kept of somebody who has not sent anything: nothing, unless they tick that."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from configurator.builds import confirming
from configurator.models import SpecRevision

from .conftest import CONTACT, Visitor


@pytest.mark.long
def test_what_is_typed_is_not_kept_before_it_is_sent_and_not_lost_either(visitor: Visitor) -> None:
    answer = visitor.post(**CONTACT, build_name="Mine", do="name")
    assert visitor.spec.contact == {}
    assert visitor.spec.name == "Mine"
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Please ring before noon." in page
    assert "checked" not in field(page, "keep_contact")
    assert "Please ring" not in visitor.page()


@pytest.mark.long
def test_ticked_it_is_kept_and_without_the_tick_it_goes(visitor: Visitor) -> None:
    assert visitor.post(**CONTACT, keep_contact="on").status_code == 302
    assert visitor.spec.contact["email"] == CONTACT["email"]
    page = visitor.page()
    assert "Please ring before noon." in page
    assert "checked" in field(page, "keep_contact")
    visitor.post(**CONTACT, in_place=True)
    assert visitor.spec.contact == {}


@pytest.mark.long
def test_a_copy_says_that_what_was_typed_is_not_on_it(visitor: Visitor) -> None:
    answer = visitor.post(**CONTACT, do="duplicate")
    page = visitor.client.get(answer["Location"]).content.decode()
    assert "Your contact details were not to be kept" in page
    assert CONTACT["notes"] not in page


@pytest.mark.long
def test_the_notice_stands_at_the_foot_and_beside_the_consent(visitor: Visitor) -> None:
    address = reverse("configurator:privacy")
    page = visitor.page()
    assert page.count(f'href="{address}"') == 2
    assert "privacy notice, version 2026-1" in page
    notice = visitor.client.get(address)
    assert "Sample text of the demonstration" in notice.content.decode()
    german = visitor.client.get(address, headers={"Accept-Language": "de"}).content.decode()
    assert "Mustertext der Vorführung" in german


@pytest.mark.long
def test_which_notice_was_shown_is_kept_with_the_build(visitor: Visitor) -> None:
    visitor.send()
    assert SpecRevision.objects.get().privacy_version == "2026-1"


@pytest.mark.long
def test_a_build_that_is_confirmed_by_mail_keeps_it_too(visitor: Visitor, settings: Any) -> None:
    settings.KERBLINE_CONFIRM_ADDRESS = True
    visitor.send()
    pending = visitor.spec.pending
    assert pending.privacy_version == "2026-1"
    confirming.confirm(pending)
    assert SpecRevision.objects.get().privacy_version == "2026-1"


def test_a_workshop_without_a_notice_shows_no_link_to_one(client: Client, db: None) -> None:
    assert client.get(reverse("configurator:privacy")).status_code == 404


def field(page: str, name: str) -> str:
    """The tag of a field."""
    start = page.rindex("<input", 0, page.index(f'name="{name}"'))
    return page[start : page.index(">", start)]


def test_a_build_that_was_let_go_of_is_not_only_called_a_wrong_link(visitor: Visitor) -> None:
    address = visitor.url
    visitor.spec.delete()
    answer = visitor.client.get(address)
    assert answer.status_code == 404
    assert "a build that was never sent is deleted" in answer.content.decode()
