"""What can be chosen in a field: the rows it may name, the words it may hold, the drawn designs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from configurator.catalogue import models as m
from configurator.catalogue import words
from configurator.catalogue.describing import Column
from configurator.catalogue.plain import kind_of, table_of
from configurator.pictures.vocabulary import PARTS
from configurator.pictures.wheels import DESIGNS

Choices = list[tuple[str, str]]


def options_of(kind: str, column: Column) -> Choices | None:
    """Return what can be chosen in a column, or None where it is written."""
    if column.refers:
        return rows_of(column.refers)
    if column.name == "design":
        return [(name, name) for name in sorted(DESIGNS)]
    if column.name == "picture_part":
        return [(name, name) for name in sorted(PARTS)]
    if column.name == "finish_choices":
        own = [("body", words.choice("body")), ("accent", words.choice("accent"))]
        return [*own, *rows_of("finishes")]
    if column.choices:
        return [(one, words.choice(one)) for one in column.choices if one]
    return None


def rows_of(kind: str) -> Choices:
    """Return code and name of a kind's rows that are not retired, translated where the catalogue is."""
    table = m.Item if kind == "items" else table_of(kind_of(kind))
    found: QuerySet[Any, Any] = table._default_manager.all()
    if any(field.name == "retired" for field in table._meta.fields):
        found = found.filter(retired=False)
    said = said_of(kind_of(kind).place)
    return sorted(
        ((str(code), said.get(code, name)) for code, name in found.values_list("code", "name")),
        key=lambda one: one[1].casefold(),
    )


def said_of(place: str, field: str = "name") -> dict[str, str]:
    """Return what rows of a namespace say in the reader's language, by code, as far as it is translated."""
    language = (get_language() or "en").split("-")[0]
    texts = m.CatalogueText.objects.filter(language=language, kind=place, field=field).exclude(code="")
    return dict(texts.values_list("code", "text"))


def literal_groups() -> list[tuple[str, Choices]]:
    """Return everything that a rule may speak of, by group: options, words of options, parts of an axle."""
    return [(label, found) for label, found in _literals() if found]


def _literals() -> Iterator[tuple[str, Choices]]:
    families = {family.pk: family.name for family in m.Family.objects.all()}
    names = dict(rows_of("options"))
    grouped: dict[str, Choices] = {}
    tags: set[str] = set()
    for option in m.Option.objects.filter(retired=False):
        name = names.get(option.code, option.name)
        grouped.setdefault(families[option.family_id], []).append((option.code, name))
        tags |= set(option.tags)
    yield from grouped.items()
    yield (
        _("Any option with the word"),
        [(f"tag:{tag}", tag) for tag in sorted(tags)],
    )
    on_parts = _tags_of_parts()
    yield _("Any part of the kind"), [(f"tag:{tag}", tag) for tag in sorted(on_parts)]
    places, said = {"front": _("front"), "rear": _("rear")}, said_of(kind_of("items").place)
    for kind, plural in (("wheel", "wheels"), ("tyre", "tyres"), ("spacer", "spacers")):
        table = table_of(kind_of(plural))
        rows = list(
            table._default_manager.filter(item__retired=False).values_list("item__code", "item__name")
        )
        for position, place in places.items():
            label = f"{words.HEADING[plural]}, {place}"
            yield (
                label,
                [(f"{position}-{kind}:{code}", f"{said.get(code, name)}, {place}") for code, name in rows],
            )


def _tags_of_parts() -> set[str]:
    from_wheels = {"wheel-new", "wheel-black", "wheel-wide"}
    found = from_wheels | {"tyre-new", "tyre-commercial", "tyre-passenger"}
    found |= {"spacer-fitted", "spacer-slip-on", "spacer-bolt-on", "spacer-over-20mm"}
    return found | {f"{place}-{tag}" for place in ("front", "rear") for tag in found}
