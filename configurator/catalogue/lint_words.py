"""What the catalogue's words speak of and is not there, and what is not said in every language."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from . import literals, texts
from .known import Known
from .snapshot import Catalogue


@dataclass(frozen=True)
class LintRow:
    """One finding: ``kind`` as the engine's lint names it, ``subject`` a code, ``message`` for staff."""

    kind: str
    subject: str
    message: str
    blocking: bool
    generation: str = ""


def untranslated(catalogue: Catalogue) -> Iterator[LintRow]:
    """Yield the texts that a reader of another language meets in the workshop's own."""
    own = settings.LANGUAGE_CODE.split("-")[0]
    offered = {code.split("-")[0] for code, _name in settings.LANGUAGES} - {own}
    for language in sorted({*offered, *catalogue.texts.languages}):
        if language not in catalogue.texts.languages:
            count = len(texts.every(catalogue))
            message = _("There is no texts.%(language)s.csv: all %(count)s texts stay as they are.") % {
                "language": language,
                "count": count,
            }
            yield LintRow("untranslated", language, message, False)
            continue
        for text in texts.missing(catalogue, language):
            outdated = catalogue.texts.is_outdated(text, language)
            state = "was translated from another text" if outdated else "is not translated"
            yield LintRow("untranslated", _place(text), f"{state} ({language}): {text.source[:80]}", False)
    for language, text in texts.idle(catalogue):
        yield LintRow(
            "idle_text", _place(text), f"translates nothing ({language}). {text.source[:80]}".strip(), False
        )


def _place(text: texts.Text) -> str:
    return "/".join(part for part in (text.kind, text.code, text.field) if part)


def unknown_words(catalogue: Catalogue) -> Iterator[LintRow]:
    """Yield what rules and generations name that is not there: left behind by a deletion, say."""
    codes, tags = literals.vocabulary(stored(catalogue))
    for rule in catalogue.rules.values():
        for literal in (*rule.if_all, *rule.then_any):
            wrong = literals.problem(literal, codes, tags)
            if wrong:
                yield LintRow("unknown_option", rule.code, wrong, rule.active)
        for line in rule.brings:
            if line["item"] not in catalogue.items:
                yield LintRow(
                    "unknown_option",
                    rule.code,
                    _("There is no item ‘%(item)s’.") % {"item": line["item"]},
                    rule.active,
                )
    for generation in catalogue.generations.values():
        for code in generation.facts:
            if code not in catalogue.options:
                yield LintRow(
                    "unknown_option",
                    generation.code,
                    _("There is no fact ‘%(code)s’.") % {"code": code},
                    True,
                    generation.code,
                )


def stored(catalogue: Catalogue) -> Known:
    """Return what rules may name, retired rows too, in the shape in which the files are checked."""

    def every(name: str) -> dict[str, Any]:
        return {**getattr(catalogue, name), **catalogue.retired.get(name, {})}

    return Known(
        {
            "options": every("options"),
            "wheels": {
                code: SimpleNamespace(
                    code=code, finish=one.finish.code, diameter_in=one.diameter_in, width_in=one.width_in
                )
                for code, one in every("wheels").items()
            },
            "tyres": every("tyres"),
            "spacers": every("spacers"),
        }
    )
