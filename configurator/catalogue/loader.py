"""Loading a whole catalogue from a folder of readable files: all of it, or nothing of it.

Every file is read and every row judged before anything is written (`judging`); which files there are, and
how another app adds one of its own, `files` says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.models import Model

from . import bodies, history, languages, lint, versions
from .files import kinds
from .history import Origin, Picture
from .judging import judge
from .models import CatalogueVersion, Generation
from .newer import NewerEdit, newer_edits
from .plain import own_kinds, plain
from .pruning import gone_rows, remove
from .sources import Finding
from .text_rows import TEXTS, key_of_text, of_file
from .writing import Writer


@dataclass(frozen=True)
class Loaded:
    """What a load did: rows per kind, the version, rows no longer in the files, and what happened to them.

    ``notes`` says what was loaded but will be missed: a generation without its drawing.
    """

    counts: dict[str, int]
    version: CatalogueVersion
    changed: bool
    gone: tuple[str, ...]
    notes: tuple[Finding, ...] = ()


class CatalogueError(Exception):
    """The files hold mistakes; ``findings`` lists every one of them and nothing was changed."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(sorted(set(findings)))
        super().__init__("\n".join(map(str, self.findings)))


class NewerEditsError(Exception):
    """The files would put back what people edited since; ``edits`` lists it and nothing was changed."""

    def __init__(self, edits: Iterable[NewerEdit]) -> None:
        self.edits = tuple(edits)
        super().__init__("\n".join(map(str, self.edits)))


def load(folder: Path, *, prune: bool = False, over_newer: bool = False, by: Any = None) -> Loaded:
    """Judge and write a whole folder in one transaction; raise CatalogueError with every finding.

    With ``prune`` rows that are no longer in the files are deleted unless something still uses them;
    without it they are reported and stay. Raises NewerEditsError where the files say otherwise than what
    people have edited since files were loaded last, unless ``over_newer`` says to load all the same.
    """
    rows, findings = judge(folder)
    if findings:
        raise CatalogueError(findings)
    with transaction.atomic():
        version = CatalogueVersion.objects.select_for_update().first()
        before = history.picture() if version else {}
        files = _as_picture(rows)
        edits = newer_edits(before | _live_drawings(), files | _drawings(folder, rows), prune=prune)
        if edits and not over_newer:
            raise NewerEditsError(edits)
        made, gone = _write(folder, rows, prune)
        if version is None or made.pk != version.pk:
            # What a first load brings is the beginning, and no change of anything.
            changes = history.between(before, history.picture()) if version else ()
            history.record(made, Origin.FILES, changes, by=by, title=folder.name)
    counts = {name: len(rows.get(name, [])) for name in (*(kind.name for kind in kinds()), languages.KIND)}
    notes = bodies.notes(folder, {row.code for row in rows.get("generations", [])})
    return Loaded(counts, made, version is None or version.pk != made.pk, tuple(gone), tuple(notes))


def _write(folder: Path, rows: dict[str, list[Any]], prune: bool) -> tuple[CatalogueVersion, list[str]]:
    """Write every row; return the version and what is no longer in the files."""
    writer = Writer(folder=folder, codes=_codes(rows), models=models_by_place())
    for kind in kinds():
        kind.write(writer, rows.get(kind.name, []))
        writer.cache.pop(kind.place, None)
    languages.write(rows.get(languages.KIND, []))
    gone = _gone(writer.codes, prune)
    wrong = list(lint.before_load())
    if wrong:
        raise CatalogueError(wrong)
    return versions.bump(note=f"loaded from {folder.name}"), gone


def _as_picture(rows: dict[str, list[Any]]) -> Picture:
    """Return the files' rows by kind and key."""
    found = {kind.name: {row.key(): plain(row) for row in rows.get(kind.name, [])} for kind in own_kinds()}
    said = [of_file(one) for one in rows.get(languages.KIND, [])]
    return {**found, TEXTS: {key_of_text(row): row for row in said}}


def _live_drawings() -> Picture:
    """Return the drawing of every vehicle that has one."""
    drawn = Generation.objects.exclude(body={}).values_list("code", "body")
    return {history.DRAWING: {code: {"body": body} for code, body in drawn}}


def _drawings(folder: Path, rows: dict[str, list[Any]]) -> Picture:
    """Return the drawings that the files bring."""
    shapes, _wrong = bodies.read(folder, {row.code for row in rows.get("generations", [])})
    return {history.DRAWING: {code: {"body": body} for code, body in shapes.items()}}


def models_by_place() -> dict[str, type[Model]]:
    """Return for each namespace the table that its codes are looked up in."""
    found: dict[str, type[Model]] = {}
    for kind in kinds():
        if kind.model is not None:
            found.setdefault(kind.place, kind.model)
    return found


def _codes(rows: dict[str, list[Any]]) -> dict[str, set[str]]:
    """Return the keys that the files hold, by namespace."""
    codes: dict[str, set[str]] = {}
    for kind in kinds():
        codes.setdefault(kind.place, set()).update(row.key() for row in rows.get(kind.name, []))
    return codes


def _gone(codes: dict[str, set[str]], prune: bool) -> list[str]:
    """Report the rows that the files no longer hold; with ``prune`` delete those nothing uses."""
    lines = []
    for kind in reversed(kinds()):
        for row in gone_rows(kind.model, codes[kind.place]) if kind.model else ():
            done = remove(row) if prune else "kept; load with --prune to remove it"
            lines.append(f"{kind.name}: ‘{row.code}’ is no longer in the files: {done}.")  # type: ignore[attr-defined]
    return lines
