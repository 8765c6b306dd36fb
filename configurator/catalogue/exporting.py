"""The whole catalogue written as the files it can be loaded from, and back without a difference."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomli_w

from . import bodies, languages
from . import models as m
from .files import kinds
from .kinds import Kind
from .plain import Plain, live_rows

File = tuple[str, bytes]


class FolderInUseError(Exception):
    """The folder holds something already; nothing was written."""


def write_folder(folder: Path) -> list[str]:
    """Write every file into a folder that is new or empty; return their names.

    Raises FolderInUseError where something lies there already.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FolderInUseError(str(folder))
    names = []
    for name, content in files():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        names.append(name)
    return names


def files() -> Iterator[File]:
    """Yield each file's name and content, one kind in memory at a time."""
    for kind in kinds():
        found = list(_rows(kind))
        if found or kind.required:
            yield kind.file, _content(kind, found)
    yield from _texts()
    for code, body in m.Generation.objects.exclude(body={}).order_by("code").values_list("code", "body"):
        yield f"{bodies.FOLDER}/{code}.json", (json.dumps(body, indent=1, ensure_ascii=False) + "\n").encode()


def _rows(kind: Kind) -> Iterable[Plain]:
    if kind.read is not None:
        return kind.read()
    return (row for _key, row in live_rows(kind)) if kind.schema.tables else ()


def _content(kind: Kind, rows: list[Plain]) -> bytes:
    if kind.file.endswith(".toml"):
        return _toml(kind, rows)
    return as_csv(list(kind.schema.model_fields), rows)


def as_csv(columns: list[str], rows: Iterable[Plain]) -> bytes:
    """Return rows as comma-separated text with a heading."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([cell(row.get(name)) for name in columns] for row in rows)
    return out.getvalue().encode()


def cell(value: Any) -> str:
    """Return a plain value as a file's cell says it: yes and no, words by blanks, pairs by colons."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    if isinstance(value, list):
        return " ".join(
            ":".join(map(cell, one)) if isinstance(one, list | tuple) else cell(one) for one in value
        )
    return str(value)


def _toml(kind: Kind, rows: list[Plain]) -> bytes:
    """Return rows as TOML; what is as it would be without being said is left out."""
    dumped = [_written(kind.schema.model_validate(row).model_dump(exclude_defaults=True)) for row in rows]
    document = {kind.table: dumped} if kind.table else (dumped[0] if dumped else {})
    return tomli_w.dumps(document, multiline_strings=True).encode()


def _written(value: Any) -> Any:
    """Return values with whole numbers written as such."""
    if isinstance(value, dict):
        return {name: _written(one) for name, one in value.items()}
    if isinstance(value, list):
        return [_written(one) for one in value]
    whole = isinstance(value, Decimal | float) and value == int(value)
    return int(value) if whole else value


def _texts() -> Iterator[File]:
    columns = list(languages.TextRow.model_fields)
    stored = m.CatalogueText.objects.order_by("language", "kind", "code", "field", "source", "pk")
    for language in dict.fromkeys(stored.values_list("language", flat=True)):
        rows = list(stored.filter(language=language).values(*columns))
        yield f"texts.{language}.csv", as_csv(columns, rows)
