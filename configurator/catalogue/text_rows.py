"""The catalogue's translations as plain rows, beside those of its files."""

from __future__ import annotations

import hashlib
from typing import Any

from . import models as m
from .plain import Plain

TEXTS = "texts"
COLUMNS = ("language", "kind", "code", "field", "source", "text")


def key_of_text(row: Plain) -> str:
    """Return what names a translation: language, kind, code and field, and the source where it decides."""
    parts = [row["language"], row["kind"], row["code"], row["field"]]
    if "." in row["field"] or not row["code"]:
        parts.append(hashlib.sha256(row["source"].encode()).hexdigest()[:12])
    return "/".join(parts)


def live_texts() -> dict[str, Plain]:
    """Return every stored translation by its key."""
    return {key_of_text(row): row for row in m.CatalogueText.objects.order_by("pk").values(*COLUMNS)}


def live_text(key: str) -> Plain | None:
    """Return the stored translation of that key, or None."""
    language, kind, code, name, *_digest = key.split("/")
    found = m.CatalogueText.objects.filter(language=language, kind=kind, code=code, field=name)
    return next((row for row in found.order_by("pk").values(*COLUMNS) if key_of_text(row) == key), None)


def write_text(key: str, row: Plain | None) -> None:
    """Put a translation in place of what its key named, or take it away."""
    before = live_text(key)
    if before is not None:
        m.CatalogueText.objects.filter(**before).delete()
    if row is not None:
        m.CatalogueText.objects.create(**{name: row[name] for name in COLUMNS})


def of_file(translated: Any) -> Plain:
    """Return a row of a texts file with its language."""
    return {"language": translated.language, **translated.row.model_dump()}
