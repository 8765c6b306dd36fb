"""German says everything that English says: page and mails, whole and up to date."""

from __future__ import annotations

import gettext
import re
from typing import Any

import pytest
from django.test import Client

from configurator.models import Spec, SpecRevision
from shop.jobs.states import State
from shop.models import OutgoingMail
from tests.shop import factories
from tests.shop.tracking import translations

PLACES = re.compile(r"%\(\w+\)s|%%")


def test_every_marked_text_has_a_german_one_with_the_same_places() -> None:
    known = translations.known()
    texts = translations.marked()
    assert len(texts) > 200
    for text in texts:
        assert known.get(text), f"no German for {text!r}"
        assert sorted(PLACES.findall(known[text])) == sorted(PLACES.findall(text)), text


def test_the_compiled_messages_are_those_of_the_source() -> None:
    with translations.MO.open("rb") as file:
        compiled = gettext.GNUTranslations(file)
    for text, german in translations.translated().items():
        assert compiled.gettext(text) == german


@pytest.mark.django_db
@pytest.mark.parametrize("state", [State.SENT, State.DEPOSIT_DUE, State.HANDED_OVER])
def test_the_page_is_german_for_a_german_browser(client: Client, workshop: Any, state: State) -> None:
    job = factories.job(state=state)
    text = client.get(f"/job/{job.token}/", HTTP_ACCEPT_LANGUAGE="de").content.decode()
    assert 'lang="de"' in text
    assert "Wie es weitergeht:" in text
    assert "1.190,00\xa0€" in text
    for english in ("What happens next", "Where it stands", "Your private link", "Messages<"):
        assert english not in text


@pytest.mark.django_db
def test_mails_are_in_the_language_of_the_spec_whatever_the_worker_speaks(
    workshop: Any, django_capture_on_commit_callbacks: Any
) -> None:
    from shop.jobs.opening import open_job

    revision = factories.revision(language="de")
    Spec.objects.update(language="de")
    with django_capture_on_commit_callbacks(execute=True):
        job = open_job(revision=SpecRevision.objects.get(pk=revision.pk))
    mail = OutgoingMail.objects.get()
    assert mail.language == "de"
    assert mail.subject == f"Ihr Umbau ist da: {job.number}"
    assert "Danke, Ida Sommer." in mail.text
    assert '<html lang="de">' in mail.html
