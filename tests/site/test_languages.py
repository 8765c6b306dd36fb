"""A third language without code: a folder of messages, compiled, is spoken."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import polib
import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import translation

from shop.site import languages


@pytest.fixture
def made_up(tmp_path: Path, settings: Any) -> Path:
    """A language that nobody speaks, with one sentence of it, as a workshop would put it beside its data."""
    folder = tmp_path / "locale"
    file = polib.POFile()
    file.metadata = {"Content-Type": "text/plain; charset=utf-8", "X-Language-Name": "Kerbisch"}
    file.append(polib.POEntry(msgid="Which vehicle is it?", msgstr="Wexo kerbu?"))
    (folder / "qkb" / "LC_MESSAGES").mkdir(parents=True)
    file.save(str(folder / "qkb" / "LC_MESSAGES" / "django.po"))
    settings.LOCALE_PATHS = [folder, *settings.LOCALE_PATHS[1:]]
    call_command("compile_language", stdout=open("/dev/null", "w"))  # noqa: SIM115, PTH123
    settings.LANGUAGES = languages.found(settings.LOCALE_PATHS)
    return folder


def test_the_languages_are_those_that_have_messages(settings: Any) -> None:
    assert settings.LANGUAGES == [("en-gb", "English"), ("de", "Deutsch")]


@pytest.mark.django_db
def test_a_language_put_into_the_data_folder_is_offered_and_spoken(made_up: Path, settings: Any) -> None:
    assert ("qkb", "Kerbisch") in settings.LANGUAGES
    client = Client()
    page = client.get("/", HTTP_ACCEPT_LANGUAGE="qkb").content.decode()
    assert '<html lang="qkb"' in page
    assert "Wexo kerbu?" in page
    # What it does not say yet stands in English, and the other languages are as they were.
    assert "Skip to the content" in page
    assert "Kerbisch" in client.get("/", HTTP_ACCEPT_LANGUAGE="de").content.decode()
    with translation.override("de"):
        assert translation.gettext("Which vehicle is it?") == "Welches Fahrzeug ist es?"
