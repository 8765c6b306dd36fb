"""German is complete: every text of the customer's pages has its translation, compiled as it is written."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import polib
import pytest
from django.conf import settings
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from configurator.builds.evaluate import evaluate
from configurator.builds.evaluation import Evaluation
from configurator.builds.sentences import SENTENCES, say
from configurator.catalogue import texts
from configurator.catalogue.snapshot import Catalogue
from configurator.fitment.messages import CODES, TEMPLATES, UNITS
from configurator.fitment.said import message
from configurator.pages.told import told
from configurator.words import compose, said
from tests.builds.builds import harbour_van

from .conftest import Visitor

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
        for pattern in (r"%\(\w+\)s",):
            texts = list(entry.msgstr_plural.values()) or [entry.msgstr]
            for text in texts:
                assert sorted(re.findall(pattern, text)) == sorted(re.findall(pattern, entry.msgid)), (
                    entry.msgid
                )


ENGLISH = re.compile(
    r"(?<![\w-])(the|and|with|of|wheels|tyres|is|are|for|front|rear|axle|chosen)(?![\w-])", re.I
)


COMPOSED = {*SENTENCES.values(), *TEMPLATES.values()}


def test_every_sentence_unit_and_code_is_translated() -> None:
    known = {entry.msgid for entry in polib.pofile(str(FOLDER / "django.po")) if entry.translated()}
    codes = {word for words in CODES.values() for word in words.values()}
    assert sorted((COMPOSED | codes | set(UNITS.values())) - known) == []


def test_ids_of_builds_and_of_fitment_do_not_meet() -> None:
    assert set(SENTENCES) & set(TEMPLATES) == set()


def test_a_translation_has_the_figures_of_its_sentence() -> None:
    names = re.compile(r"{(\w+)")
    for entry in polib.pofile(str(FOLDER / "django.po")):
        if entry.msgid in COMPOSED:
            assert set(names.findall(entry.msgstr)) == set(names.findall(entry.msgid)), entry.msgid


def test_the_demonstrations_texts_are_all_there_in_german(catalogue: Catalogue) -> None:
    assert len(texts.every(catalogue)) > 700
    assert texts.missing(catalogue, "de") == []
    assert texts.idle(catalogue) == []


def test_a_whole_build_speaks_german(catalogue: Catalogue) -> None:
    """What the program composes and what the catalogue says; fit rows have a test of their own."""
    evaluation = evaluate(harbour_van(), catalogue)
    with translation.override("de"):
        shown = [told(text) for text in (*evaluation.names.values(), *evaluation.summary)]
        shown += [told(text) for line in evaluation.parts for text in (line.name, line.where, line.why)]
        shown += [told(text) for step in evaluation.work.steps for text in (step.name, *step.for_names)]
        shown += [told(line.label) for line in evaluation.price.lines]
        shown += [told(fit.headline) for fit in evaluation.fits.values()]
        shown += [told(row.message) for fit in evaluation.fits.values() for row in fit.checks]
        shown += [told(text) for text in evaluation.cautions]
    assert len(shown) > 100
    assert [text for text in shown if ENGLISH.search(text)] == []


def test_what_is_kept_can_be_told_in_any_language_later(catalogue: Catalogue) -> None:
    evaluation = evaluate(harbour_van(), catalogue)
    kept = Evaluation.model_validate(json.loads(json.dumps(evaluation.kept())))
    assert kept.model_copy(update={"said": {}}) == evaluation
    for language in ("de", "en-gb"):
        with translation.override(language):
            for now, then in zip(evaluation.parts, kept.parts, strict=True):
                assert (told(now.name), told(now.why)) == (told(then.name), told(then.why))
            assert told(kept.price.deposit_why) == told(evaluation.price.deposit_why)


@pytest.mark.parametrize(
    ("text", "german"),
    [
        (
            said([message("headline.bolts", shank_mm=42.0)]),
            "Braucht Schrauben mit 42 mm Schaft, die wir dazulegen.",
        ),
        (
            said([message("speedometer.fits", change_pct=1.25)]),
            "Der Abrollumfang ändert sich um +1,2 Prozent: "
            "der Tacho bleibt rechnerisch innerhalb von UN R39.",
        ),
        (
            said([message("fastener_length.right", shank_mm=42, sum_mm=[27.0, 15.0])]),
            "Schrauben mit 42 mm Schaft sind richtig: 27 + 15.",
        ),
        (said([message("seat.fits", wheel_seat="cone60")]), "Rad und Schraube haben beide Kegelbund 60°."),
        (
            said([message("row.missing", fields=["axle.arch_lip_mm", "wheel.offset_mm"])]),
            "Nicht bekannt: Radlaufkante, Einpresstiefe des Rads. "
            "Messen oder nachschlagen, dann noch einmal prüfen.",
        ),
        (
            say("price_was", before_money=(Decimal("1190"), "EUR"), now_money=(Decimal("-5.5"), "EUR")),
            "Der Preis war 1.190,00\xa0€ und ist jetzt −5,50\xa0€.",
        ),
    ],
)
def test_ids_and_figures_become_german(text: str, german: str) -> None:
    with translation.override("de"):
        assert told(text) == german


def test_inches_by_definition() -> None:
    """One inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    inside, rim = (
        message("headline.inside", inside_mm=12.7),
        message("tyre_rim_width.diameter", tyre_in=18, rim_in=17),
    )
    shank = message("fastener_length.right", shank_mm=25.4, sum_mm=[12.7, 12.7])
    with translation.override("en-gb"):
        assert told(said([inside]), inches=True) == "Sits 0.50\xa0in inside the arch."
        assert told(said([shank]), inches=True) == "1.00\xa0in bolts are right: 0.50 + 0.50."
        assert told(said([rim]), inches=True) == "Tyre for 18 inches, wheel of 17: they do not go together."


@given(value=st.floats(-1e6, 1e6, allow_nan=False), places=st.sampled_from(["", "0", "1", "+1", "2", "+0"]))
def test_figures_have_one_minus_sign_and_no_signed_nought(value: float, places: str) -> None:
    shown = compose({"x": f"{{x_mm:{places}}}"}, "x", x_mm=value)
    assert "-" not in shown
    assert not re.match(r"[+−]0(\.0*)? mm$", shown)
    assert abs(float(shown.removesuffix(" mm").replace("−", "-")) - value) <= 0.5


def test_an_evaluation_kept_before_texts_had_values_is_shown_in_its_english(catalogue: Catalogue) -> None:
    old = evaluate(harbour_van(), catalogue).model_dump(mode="json")
    with translation.override("de"):
        first = Evaluation.model_validate(old).price.lines[0]
        assert told(first.label) == first.label == "Torvik 8×18 ET50 gloss black, front"


@pytest.mark.long
def test_what_is_wrong_with_a_choice_is_told_in_german_beside_its_field(visitor: Visitor) -> None:
    visitor.client.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"
    html = visitor.post(wheel="no-such-wheel").content.decode()
    box = html.split('id="div_id_wheel"', 1)[1].split("</fieldset>")[0]
    assert "Dieses Rad haben wir nicht. Bitte wählen Sie aus der Liste." in box
    assert "We do not have this wheel" not in html
