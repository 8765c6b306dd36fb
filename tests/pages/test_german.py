"""German is complete: every text of the customer's pages has its translation, compiled as it is written."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import polib
import pytest
from django.conf import settings
from django.utils import translation

from configurator.builds.evaluate import evaluate
from configurator.catalogue.snapshot import Catalogue
from configurator.pages.told import told
from tests.builds.builds import harbour_van

FOLDER = settings.BASE_DIR / "configurator" / "locale" / "de" / "LC_MESSAGES"
# The job page and the mails have messages and tests of their own, in shop/locale.
PAGES = ("configurator", "kerb")
TRANSLATE = re.compile(r"{%\s*translate\s+(?:\"((?:[^\"\\]|\\.)*)\"|'((?:[^'\\]|\\.)*)')")
BLOCK = re.compile(
    r"{%\s*blocktranslate[^%]*%}(.*?)(?:{%\s*plural\s*%}.*?)?{%\s*endblocktranslate\s*%}", re.S
)


def _in_templates() -> Iterator[str]:
    root = settings.BASE_DIR / "templates"
    files = [*root.glob("*.html"), *(f for name in PAGES for f in (root / name).rglob("*.html"))]
    for file in files:
        text = file.read_text()
        yield from (match[1] or match[2] for match in TRANSLATE.finditer(text))
        for match in BLOCK.finditer(text):
            yield re.sub(r"{{\s*(\w+)\s*}}", r"%(\1)s", match[1].replace("%", "%%"))


def _in_code() -> Iterator[str]:
    for file in (settings.BASE_DIR / "configurator" / "pages").glob("*.py"):
        for node in ast.walk(ast.parse(Path(file).read_text())):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.args:
                first = node.args[0]
                if node.func.id in ("_", "gettext", "gettext_lazy") and isinstance(first, ast.Constant):
                    yield first.value


def test_every_text_of_the_customers_pages_is_translated() -> None:
    known = {entry.msgid for entry in polib.pofile(str(FOLDER / "django.po")) if entry.translated()}
    wanted = {text for text in (*_in_templates(), *_in_code()) if text}
    assert len(wanted) > 200
    assert sorted(wanted - known) == []


def test_the_compiled_file_is_the_written_one() -> None:
    written = polib.pofile(str(FOLDER / "django.po"))
    compiled = {entry.msgid: entry for entry in polib.mofile(str(FOLDER / "django.mo"))}
    for entry in written:
        assert compiled[entry.msgid].msgstr == entry.msgstr
        assert compiled[entry.msgid].msgstr_plural == entry.msgstr_plural
    assert len(compiled) == len(written)


def test_placeholders_survive_translation() -> None:
    for entry in polib.pofile(str(FOLDER / "django.po")):
        for pattern in (r"%\(\w+\)s", r"{}"):
            texts = list(entry.msgstr_plural.values()) or [entry.msgstr]
            for text in texts:
                assert sorted(re.findall(pattern, text)) == sorted(re.findall(pattern, entry.msgid)), (
                    entry.msgid
                )


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("Needs 42 mm bolts, which we add.", "Braucht Schrauben mit 42 mm Schaft, die wir dazulegen."),
        ("Torvik 8×18 ET50 gloss black, front", "Torvik 8×18 ET50 gloss black, vorn"),
        ("Rolling circumference changes by +1.2 per cent", "Der Abrollumfang ändert sich um +1,2 Prozent"),
        ("Front badge in colour in Ember orange", "Emblem vorn in Farbe in Glutorange"),
        ("A text that nobody has translated: 3 mm.", "A text that nobody has translated: 3 mm."),
    ],
)
def test_engine_sentences_are_told_in_german(english: str, german: str) -> None:
    with translation.override("de"):
        assert told(english) == german


def test_inches_by_definition() -> None:
    """One inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    with translation.override("en-gb"):
        assert told("254 mm and 25.4 mm.", inches=True) == "10.00\xa0in and 1.00\xa0in."


def _catalogue_texts(catalogue: Catalogue) -> set[str]:
    """Return steps, cautions and goods as a customer reads them; wheels and tyres go by their own names."""
    steps = [step for recipe in catalogue.recipes.values() for step in recipe.operations.all()]
    texts = {text for step in steps for text in (step.name, step.caution)}
    texts |= {system.caution for system in catalogue.paint_systems.values()}
    proper = {*catalogue.wheels, *catalogue.tyres}
    return {
        text for text in texts | {i.name for i in catalogue.items.values() if i.code not in proper} if text
    }


def test_what_the_catalogue_says_is_told_in_german(catalogue: Catalogue) -> None:
    texts = _catalogue_texts(catalogue) | set(evaluate(harbour_van(), catalogue).cautions)
    assert len(texts) > 300
    with translation.override("de"):
        assert sorted(text for text in texts if told(text) == text) == []
