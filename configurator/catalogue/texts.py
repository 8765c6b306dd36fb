"""The catalogue's own texts in other languages: which fields have them, and who says what in which.

A catalogue's rows carry their texts in the workshop's language; ``texts.de.csv`` beside them says the same
in German, ``texts.fr.csv`` in French, and so on. Where a translation is missing, or was made from a text
that has changed since, the row's own text stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from configurator.words import Said

from . import models as m

Catalogue = Any
"""A ``snapshot.Catalogue``, which stands on this module."""

FIELDS: dict[str, tuple[str, ...]] = {
    "workshop": ("terms", "privacy", "local_codes"),
    "items": ("name",),
    "finishes": ("name",),
    "paint_systems": ("name", "surface", "caution"),
    "generations": ("name",),
    "recipes": ("name", "operation.name", "operation.caution", "material.note"),
    "families": ("name",),
    "options": ("name", "summary"),
    "rules": ("reason",),
    "looks": ("name", "summary"),
}
"""Fields that people read, by the file's namespace; ``operation.name`` is that of a recipe's operations."""


@dataclass(frozen=True)
class Text:
    """One text of the catalogue: where it stands and what it says in the workshop's language."""

    kind: str
    code: str
    field: str
    source: str


@dataclass
class Texts:
    """All translations, by language and by what they translate."""

    by_code: dict[tuple[str, str, str, str], dict[str, str]] = field(default_factory=dict)
    by_source: dict[tuple[str, str, str, str], str] = field(default_factory=dict)

    def add(self, row: Any) -> None:
        """Take in one row: language, kind, code, field, source and text."""
        if row.code:
            said = self.by_code.setdefault((row.language, row.kind, row.code, row.field), {})
            said[row.source] = row.text
        else:
            self.by_source[row.language, row.kind, row.field, row.source] = row.text

    @property
    def languages(self) -> list[str]:
        """The languages that have any text."""
        return sorted({key[0] for key in (*self.by_code, *self.by_source)})

    def of(self, text: Text, language: str) -> str | None:
        """Return the text in a language; ``None`` when nobody has translated what it says now."""
        own = self.by_code.get((language, text.kind, text.code, text.field), {})
        for found in (own.get(text.source), own.get("")):
            if found:
                return found
        return self.by_source.get((language, text.kind, text.field, text.source))

    def is_outdated(self, text: Text, language: str) -> bool:
        """Whether it was translated once, but from another text than stands there now."""
        return (language, text.kind, text.code, text.field) in self.by_code and not self.of(text, language)


def read() -> Texts:
    """Return every translation stored: one query."""
    texts = Texts()
    for row in m.CatalogueText.objects.all():
        texts.add(row)
    return texts


def speak(catalogue: Catalogue) -> None:
    """Make every text of a snapshot carry its translations, in each instance that holds it."""
    languages = catalogue.texts.languages
    for text, row, name in _places(catalogue):
        found = {language: said for language in languages if (said := catalogue.texts.of(text, language))}
        if found:
            setattr(row, name, Said(text.source, texts=found))


def every(catalogue: Catalogue) -> list[Text]:
    """Return each text of the catalogue once, in the order of the files."""
    return list(dict.fromkeys(text for text, _row, _name in _places(catalogue)))


def missing(catalogue: Catalogue, language: str) -> list[Text]:
    """Return the texts that have none in a language; names of tyres and vehicles are left as they are."""
    proper = {("items", tyre) for tyre in catalogue.tyres}
    return [
        text
        for text in every(catalogue)
        if text.kind != "generations"
        and (text.kind, text.code) not in proper
        and catalogue.texts.of(text, language) is None
    ]


def idle(catalogue: Catalogue) -> list[tuple[str, Text]]:
    """Return the languages and places of translations whose row is no longer there."""
    there = {(text.kind, text.code, text.field) for text in every(catalogue)}
    said = {(text.kind, text.field, text.source) for text in every(catalogue)}
    waiting = {(kind, code) for kind in FIELDS for code in catalogue.retired.get(kind, ())}
    gone = [
        (one[0], Text(one[1], one[2], one[3], ""))
        for one in catalogue.texts.by_code
        if one[1:] not in there and one[1:3] not in waiting
    ]
    for language, kind, name, source in catalogue.texts.by_source:
        if (kind, name, source) not in said:
            gone.append((language, Text(kind, "", name, source)))
    return gone


Place = tuple[Text, Any, str]


def _places(catalogue: Catalogue) -> Iterator[Place]:
    """Yield every text with the instance and attribute that hold it, related instances included."""
    if catalogue.workshop is not None:
        yield from _of("workshop", "", catalogue.workshop)
    for kind, rows in _rows(catalogue).items():
        for row in rows:
            yield from _of(kind, row.code, row)
    for recipe in catalogue.recipes.values():
        for operation in recipe.operations.all():
            yield from _of("recipes", recipe.code, operation, "operation.")
        for material in recipe.materials.all():
            yield from _of("recipes", recipe.code, material, "material.")


def _rows(catalogue: Catalogue) -> dict[str, Iterable[Any]]:
    """Return every instance that has texts, by the namespace of its file."""
    options = catalogue.options.values()
    return {
        "finishes": _finishes(catalogue),
        "items": _items(catalogue),
        "paint_systems": (*catalogue.paint_systems.values(), *_related(options, "paint_system")),
        "generations": catalogue.generations.values(),
        "recipes": (*catalogue.recipes.values(), *_related(options, "recipe")),
        "families": (*catalogue.families.values(), *_related(options, "family")),
        "options": options,
        "rules": catalogue.rules.values(),
        "looks": catalogue.looks.values(),
    }


def _of(kind: str, code: str, row: Any, nested: str = "") -> Iterator[Place]:
    """Yield the texts of one instance; ``nested`` is the prefix of a recipe's inner rows."""
    for name in FIELDS[kind]:
        prefix, dot, inner = name.rpartition(".")
        if f"{prefix}{dot}" == nested and (source := str(getattr(row, inner) or "")):
            yield Text(kind, code, name, source), row, inner


def _items(catalogue: Catalogue) -> Iterator[m.Item]:
    yield from catalogue.items.values()
    parts: tuple[dict[str, Any], ...] = (
        catalogue.wheels,
        catalogue.tyres,
        catalogue.spacers,
        catalogue.fasteners,
        catalogue.rings,
        catalogue.options,
    )
    for known in parts:
        yield from _related(known.values(), "item")
    for system in catalogue.paint_systems.values():
        yield from _related(system.layers.all(), "item")
    for recipe in catalogue.recipes.values():
        yield from _related(recipe.materials.all(), "item")


def _finishes(catalogue: Catalogue) -> Iterator[m.Finish]:
    yield from catalogue.finishes.values()
    yield from _related(catalogue.finishes.values(), "same_colour_as")
    yield from _related(catalogue.wheels.values(), "finish")
    yield from _related(catalogue.fasteners.values(), "finish")
    for generation in catalogue.generations.values():
        yield from generation.body_finishes.all()


def _related(rows: Iterable[Any], name: str) -> Iterator[Any]:
    """Yield what each row points at; every row has an instance of its own."""
    return (other for row in rows if (other := getattr(row, name)) is not None)
