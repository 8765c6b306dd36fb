"""Files such as ``texts.de.csv``: read and judged with the rest of a catalogue, and stored.

Columns: ``kind`` (the file that holds the text, such as options), ``code`` (the row's), ``field``,
``source`` (what it was translated from) and ``text``. Without a code the row speaks of every text of that
kind and field that says ``source``, as for the steps of recipes, which have no codes. A row may outlive
what it translates; ``lint`` lists those that speak of nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Annotated, Literal

from django.utils.translation import gettext as _
from pydantic import Field, StringConstraints, ValidationError

from . import judged_before, messages, sources
from . import models as m
from .rows import Row
from .sources import Entry, Finding
from .texts import FIELDS

KIND = "texts"
NAME = re.compile(r"texts\.([a-z]{2,3}(?:-[a-z0-9]{2,8})?)\.csv")


class TextRow(Row):
    """One text in another language."""

    kind: Literal[tuple(FIELDS)]  # type: ignore[valid-type]
    code: Annotated[str, StringConstraints(max_length=60)] = ""
    field: Annotated[str, Field(min_length=1, max_length=40)]
    source: Annotated[str, Field(max_length=20000)] = ""
    text: Annotated[str, Field(min_length=1, max_length=20000)]
    key_fields = ("kind", "code", "field", "source")


@dataclass(frozen=True)
class Translated:
    """A judged row with the language that its file is for."""

    language: str
    row: TextRow


def read(folder: Path) -> tuple[list[Translated], list[Finding]]:
    """Return the rows of every language's file and what is wrong with them."""
    rows: list[Translated] = []
    findings: list[Finding] = []
    for path in sorted(folder.glob("texts.*.csv")):
        match = NAME.fullmatch(path.name)
        if match is None:
            findings.append(Finding(path.name, 0, "", _("Name it for its language, such as texts.de.csv.")))
            continue
        of_file, wrong = judged_before.once(path, partial(_of_file, path), TextRow)
        findings += wrong
        rows += [Translated(match[1], one) for one in of_file]
    return rows, findings


def _of_file(path: Path) -> tuple[tuple[list[TextRow], list[Finding]], bool]:
    """Return a file's rows with what is wrong, and whether nothing is."""
    entries, wrong = sources.read(path, "", TextRow.model_fields)
    seen: dict[str, int] = {}
    judged = [one for entry in entries for one in _judged(entry, seen)]
    wrong += [one for one in judged if isinstance(one, Finding)]
    return ([one for one in judged if isinstance(one, TextRow)], wrong), not wrong


def _judged(entry: Entry, seen: dict[str, int]) -> Iterator[TextRow | Finding]:
    """Yield the row, or everything that is wrong with it."""
    try:
        row = TextRow.model_validate(entry.data)
    except ValidationError as error:
        yield from messages.findings(entry, error)
        return
    wrong = [Finding(entry.file, entry.row, name, message) for name, message in _blames(row)]
    first = seen.setdefault(row.key(), entry.row)
    if first != entry.row:
        wrong.append(
            Finding(
                entry.file,
                entry.row,
                "field",
                _("This text is there already (row %(first)s).") % {"first": first},
            )
        )
    if wrong:
        yield from wrong
    else:
        yield row


def _blames(row: TextRow) -> Iterator[tuple[str, str]]:
    if row.field not in FIELDS[row.kind]:
        yield (
            "field",
            _("Only these of %(kind)s are translated: %(kind_2)s.")
            % {"kind": row.kind, "kind_2": ", ".join(FIELDS[row.kind])},
        )
    if not row.source and ("." in row.field or not (row.code or row.kind == "workshop")):
        yield "source", _("Give the text that it was translated from.")


def write(rows: list[Translated]) -> None:
    """Store the rows in place of what the languages of the files had."""
    languages = {one.language for one in rows}
    m.CatalogueText.objects.filter(language__in=languages).delete()
    m.CatalogueText.objects.bulk_create(
        [m.CatalogueText(language=one.language, **one.row.model_dump()) for one in rows], batch_size=500
    )
