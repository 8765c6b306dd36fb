"""What a language lacks: every text of the live catalogue without a translation, to be filled in."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from django import forms

from configurator.catalogue import drafts, field_words, snapshot, texts, words
from configurator.catalogue.text_rows import TEXTS, key_of_text

MOST = 60


@dataclass(frozen=True)
class Missing:
    """One text without a translation, or with one made from an older text."""

    text: texts.Text
    is_outdated: bool
    heading: str
    what: str

    @property
    def field_name(self) -> str:
        """Return the name of its input."""
        found = "/".join((self.text.kind, self.text.code, self.text.field, self.text.source))
        return "t-" + hashlib.sha256(found.encode()).hexdigest()[:16]


def listed(language: str) -> list[Missing]:
    """Return the first of what is missing, without what the draft translates already."""
    catalogue = snapshot.current()
    draft = drafts.shared()
    done = set(draft.rows.filter(kind=TEXTS).values_list("key", flat=True)) if draft else set()
    found = []
    for text in texts.missing(catalogue, language):
        row = {"language": language, "kind": text.kind, "code": text.code}
        if key_of_text({**row, "field": text.field, "source": text.source}) in done:
            continue
        outdated = catalogue.texts.is_outdated(text, language)
        name = text.field.rpartition(".")[2]
        heading = str(words.HEADING.get(text.kind, text.kind))
        found.append(Missing(text, outdated, heading, field_words.name_of(name)))
    return found[:MOST]


class TextsForm(forms.Form):
    """A translation beside each text; what stays empty stays missing."""

    def __init__(self, data: Any = None, *, rows: list[Missing]) -> None:
        super().__init__(data)
        for row in rows:
            area = forms.Textarea(attrs={"rows": 3}) if len(row.text.source) > 80 else forms.TextInput()
            self.fields[row.field_name] = forms.CharField(
                required=False, max_length=20000, widget=area, label=row.text.source[:80]
            )


def keep_texts(form: TextsForm, rows: list[Missing], language: str, by: Any) -> int:
    """Keep what was filled in; return how many."""
    done = 0
    for row in rows:
        said = form.cleaned_data[row.field_name]
        if said:
            text = row.text
            kept = {"language": language, "kind": text.kind, "code": text.code, "field": text.field}
            kept |= {"source": text.source, "text": said}
            drafts.keep(kind=TEXTS, key=key_of_text(kept), data=kept, by=by)
            done += 1
    return done
