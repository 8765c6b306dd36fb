"""The workshop's own record, kept up by people: judged as its file is, and a new version with each change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction
from pydantic import ValidationError

from . import checks, messages, versions
from .known import Blame, Known
from .models import CatalogueText, Workshop
from .rows import WorkshopRow
from .workshop import current

KIND = "workshop"


def begin() -> Workshop:
    """Return the one workshop, made with nothing in it where there is none."""
    found = current()
    return found or Workshop.objects.create(tax_rate_pct=Decimal(0), labour_rate_per_h=Decimal(0))


def problems(values: Mapping[str, Any]) -> Iterator[Blame]:
    """Yield field and message for what a file with these values would be refused for."""
    for name in WorkshopRow.model_fields.keys() & values.keys():
        value = values[name]
        if value in (None, "") and not WorkshopRow.model_fields[name].is_required():
            continue
        try:
            blank = WorkshopRow.model_construct()
            WorkshopRow.__pydantic_validator__.validate_assignment(blank, name, value)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            yield name, messages.plain(first["type"], first, name)
    if values.get("iban"):
        yield from checks.workshop(WorkshopRow.model_construct(iban=values["iban"]), Known())
    if "tax_rate_from" in values:
        yield from checks.tax_rate(WorkshopRow.model_construct(**values))


@transaction.atomic
def change(values: Mapping[str, Any], *, note: str) -> Workshop:
    """Store these fields of the workshop and make the new catalogue version.

    Raises ValueError for a field that the record does not have.
    """
    begin()
    workshop = Workshop.objects.select_for_update().get()
    if unknown := set(values) - set(WorkshopRow.model_fields):
        raise ValueError(f"A workshop has no {', '.join(sorted(unknown))}.")
    for name, value in values.items():
        setattr(workshop, name, value)
    workshop.save()
    versions.bump(note=note)
    return workshop


def translation(field: str, language: str) -> str:
    """Return what the workshop's text says in a language, also where its source has changed since."""
    rows = CatalogueText.objects.filter(kind=KIND, field=field, language=language)
    source = getattr(current(), field, "")
    fresh = rows.filter(source=source).first()
    found = fresh or rows.order_by("-pk").first()
    return found.text if found else ""


@transaction.atomic
def translate(field: str, texts: Mapping[str, str], *, note: str) -> None:
    """Say a text of the workshop in other languages, as of what it says now; an empty one is taken back."""
    source = getattr(begin(), field)
    for language, text in texts.items():
        CatalogueText.objects.filter(kind=KIND, field=field, language=language).delete()
        if text and source:
            CatalogueText.objects.create(kind=KIND, field=field, language=language, source=source, text=text)
    versions.bump(note=note)
