"""What a row says in the catalogue's other languages, as fields beside its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import get_language_info
from django.utils.translation import gettext as _

from configurator.catalogue import drafts, field_words
from configurator.catalogue import models as m
from configurator.catalogue.kinds import Kind
from configurator.catalogue.plain import Plain
from configurator.catalogue.text_rows import TEXTS, key_of_text
from configurator.catalogue.texts import FIELDS


def languages() -> list[str]:
    """Return the languages that texts are wanted in, besides the catalogue's own."""
    own = settings.LANGUAGE_CODE.split("-")[0]
    offered = {code.split("-")[0] for code, _name in settings.LANGUAGES}
    stored = set(m.CatalogueText.objects.order_by().values_list("language", flat=True).distinct())
    return sorted((offered | stored) - {own})


def language_name(code: str) -> str:
    """Return what a language calls itself."""
    try:
        return str(get_language_info(code)["name_local"])
    except KeyError:
        return code


class TextFields:
    """The translations of one row: shown, and kept in the draft where they were changed."""

    def __init__(self, kind: Kind, now: Plain | None, draft: Any) -> None:
        self.kind, self.now, self.draft = kind, now or {}, draft
        self.place = kind.place
        self.code = str(self.now.get("code", ""))
        self.languages = languages() if kind.place in FIELDS else []
        self.stored = _stored(self.place, self.code, draft) if self.languages else {}

    def names(self, inner: str = "") -> list[str]:
        """Return the translated fields of the row, or of the rows within it."""
        found = [name.rpartition(".") for name in FIELDS.get(self.place, ())]
        return [name for prefix, _dot, name in found if prefix == inner]

    def add_to(self, form: Any, typed: Any) -> None:
        """Put a field for every language behind the row's own."""
        for language, name in self._each(""):
            source = str(self.now.get(name) or "")
            form.fields[f"text-{language}-{name}"] = _field(name, language, name in _LONG)
            value = (
                typed.get(f"text-{language}-{name}") if typed is not None else self.of(language, name, source)
            )
            form.initial[f"text-{language}-{name}"] = value

    def add_to_inner(self, form: Any, typed: Any) -> None:
        """Put the translations of a row within the row behind its fields."""
        for language, name in self._each(form.column.name):
            field = f"text-{language}-{name}"
            form.fields[field] = _field(name, language, name in _LONG)
            source = str(form.initial.get(name) or "")
            stands = self.of(language, f"{form.column.name}.{name}", source)
            form.initial[field] = typed.get(f"{form.prefix}-{field}") if typed is not None else stands

    def _each(self, inner: str) -> Iterator[tuple[str, str]]:
        for language in self.languages:
            for name in self.names(inner):
                yield language, name

    def of(self, language: str, name: str, source: str) -> str:
        """Return the translation of what stands there, or what it was translated to before."""
        if not source:
            return ""
        own = self.stored.get((language, self.code, name, source)) or self.stored.get(
            (language, self.code, name, "")
        )
        anywhere = self.stored.get((language, "", name, source))
        found = own or anywhere
        return str(found["text"]) if found else ""

    def keep(self, form: Any, by: Any) -> None:
        """Keep every translation that was changed; one that was emptied goes."""
        for language, name in self._each(""):
            self._keep(form, f"text-{language}-{name}", language, name, str(form.row.get(name) or ""), by)
        for inner in form.inner:
            for row in inner.kept:
                for language, name in self._each(inner.column.name):
                    source = str(row.data.get(f"{row.prefix}-{name}") or "").strip()
                    field = f"text-{language}-{name}"
                    self._keep(row, field, language, f"{inner.column.name}.{name}", source, by)

    def _keep(self, form: Any, field: str, language: str, name: str, source: str, by: Any) -> None:
        text = str(form.data.get(form.add_prefix(field)) or "").strip()
        stands = str(form.initial.get(field) or "").strip(), self.of(language, name, source)
        if text in stands or not source:
            return
        code = str(form.data.get("code") or self.code) if not self.code else self.code
        row = {"language": language, "kind": self.place, "code": code, "field": name}
        row |= {"source": source, "text": text}
        drafts.keep(kind=TEXTS, key=key_of_text(row), data=row if text else None, by=by)


_LONG = frozenset({"terms", "privacy", "local_codes", "caution", "summary", "reason"})


def _field(name: str, language: str, is_long: bool) -> forms.CharField:
    label = _("%(field)s (%(language)s)") % {
        "field": field_words.name_of(name),
        "language": language_name(language),
    }
    widget = forms.Textarea(attrs={"rows": 3, "lang": language}) if is_long else None
    return forms.CharField(
        required=False, label=label, widget=widget or forms.TextInput(attrs={"lang": language})
    )


def _stored(place: str, code: str, draft: Any) -> dict[tuple[str, str, str, str], Plain]:
    """Return the live translations of a row, the draft's over them, by language, code, field and source."""
    columns = ("language", "kind", "code", "field", "source", "text")
    found = m.CatalogueText.objects.filter(kind=place, code__in=["", code]).values(*columns)
    rows = {_place(row): row for row in found}
    drafted = draft.rows.filter(kind=TEXTS, key__contains=f"/{place}/{code}/") if draft else ()
    for one in drafted:
        if one.data is not None:
            rows[_place(one.data)] = one.data
        elif one.base is not None:
            rows.pop(_place(one.base), None)
    return rows


def _place(row: Plain) -> tuple[str, str, str, str]:
    return row["language"], row["code"], row["field"], row["source"]
