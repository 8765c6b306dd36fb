"""Which languages the site speaks: English, and every language that has messages in a locale folder.

A language is added without code: put ``locale/fr/LC_MESSAGES/django.po`` into the data folder (or beside the
German one) and run ``manage.py compile_language``. What it does not say stands in English.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterable
from pathlib import Path

from django.conf.locale import LANG_INFO

SOURCE = ("en-gb", "English")


def found(folders: Iterable[Path]) -> list[tuple[str, str]]:
    """Return code and own name of every language with compiled messages, the source language first."""
    files: dict[str, Path] = {}
    for folder in folders:
        for path in sorted(folder.glob("*/LC_MESSAGES/django.mo")):
            files.setdefault(path.parent.parent.name.replace("_", "-").lower(), path)
    return [SOURCE, *((code, _name(code, path)) for code, path in sorted(files.items()) if code != SOURCE[0])]


def _name(code: str, path: Path) -> str:
    """Return what the language calls itself: by Django's list, or by the file's own header."""
    known = LANG_INFO.get(code, {}).get("name_local")
    if known:
        return str(known)
    with path.open("rb") as file:
        return gettext.GNUTranslations(file).info().get("x-language-name") or code
