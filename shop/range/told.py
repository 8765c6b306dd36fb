"""Changes of rows in words: the field, what it was, what it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from configurator.catalogue import field_words, words
from configurator.catalogue.exporting import cell
from configurator.catalogue.plain import Plain, differing
from configurator.catalogue.text_rows import TEXTS

from .texts_form import language_name


@dataclass(frozen=True)
class Told:
    """One field that changed, in words."""

    what: str
    before: str
    after: str


def changes(before: Plain | None, after: Plain | None) -> list[Told]:
    """Return every field that differs in words; of a row that came or went those that say anything."""
    old, new = differing(before, after)
    if "body" in (old or {}):
        return [
            Told(
                _("Drawing"),
                _("as it was") if (old or {})["body"] else "",
                _("drawn anew") if (new or {}).get("body") else "",
            )
        ]
    names = list(dict.fromkeys([*(old or {}), *(new or {})]))
    found = [Told(_name(name), value((old or {}).get(name)), value((new or {}).get(name))) for name in names]
    return [one for one in found if one.before != one.after]


def _name(name: str) -> str:
    unit = field_words.unit_of(name)
    return f"{field_words.name_of(name)} ({unit})" if unit else field_words.name_of(name)


def value(found: Any) -> str:
    """Return a plain value for people."""
    if isinstance(found, bool):
        return words.yes_no(found)
    if isinstance(found, list) and found and isinstance(found[0], dict):
        return "; ".join(" ".join(filter(None, map(value, one.values()))) for one in found)
    if isinstance(found, list):
        return cell(found).replace(" ", ", ")
    text = cell(found)
    return words.choice(text) if text in words.CHOICES else text


def row_name(kind: str, key: str, row: Plain | None, name: str = "") -> str:
    """Return what a row is called, with its kind where that helps."""
    if kind == TEXTS:
        language, _kind, *_rest = key.split("/")
        text = str((row or {}).get("source", ""))[:60] or key
        return _("“%(text)s” in %(language)s") % {"text": text, "language": language_name(language)}
    return str((row or {}).get("name") or name or (row or {}).get("reason") or key)
