"""The languages that what is shown to visitors is told in."""

from __future__ import annotations

from django.conf import settings


def own_language() -> str:
    """Return the language that the catalogue's rows are written in."""
    return settings.LANGUAGE_CODE.split("-")[0]


def other_languages() -> list[str]:
    """Return the languages that visitors may read in besides the workshop's own."""
    found = (code.split("-")[0] for code, _name in settings.LANGUAGES)
    return [code for code in dict.fromkeys(found) if code != own_language()]
