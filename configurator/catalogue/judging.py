"""Reading and judging every file before anything is written; findings name file, row and field."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _
from pydantic import ValidationError

from . import bodies, judged_before, languages, messages, sources
from .describing import columns
from .files import kinds
from .kinds import Kind
from .known import Known, named_in_vain, references, sure
from .sources import Entry, Finding


def judge(folder: Path) -> tuple[dict[str, list[Any]], list[Finding]]:
    """Read and judge every file; return the rows by kind and everything wrong with them."""
    if not folder.is_dir():
        return {}, [Finding(str(folder), 0, "", "There is no such folder.")]
    findings: list[Finding] = []
    placed: list[tuple[Kind, Entry, Any]] = []
    unread: list[tuple[Kind, Entry, set[str]]] = []
    known = Known()
    for kind in kinds():
        read = partial(_of_file, folder, kind, known, findings, unread)
        pairs = judged_before.once(folder / kind.file, read, kind.file, kind.table, kind.schema)
        placed += [(kind, entry, row) for entry, row in pairs]
    _index(placed, known, findings)
    findings += _cross_check(placed, known)
    findings += _named_in_vain(unread, known)
    findings += bodies.read(folder, known.rows.get("generations", {}))[1]
    translated, wrong = languages.read(folder)
    findings += wrong
    rows: dict[str, list[Any]] = {languages.KIND: translated}
    for kind, _entry, row in placed:
        rows.setdefault(kind.name, []).append(row)
    return rows, findings


def _of_file(
    folder: Path,
    kind: Kind,
    known: Known,
    findings: list[Finding],
    unread: list[tuple[Kind, Entry, set[str]]],
) -> tuple[list[tuple[Entry, Any]], bool]:
    """Read one kind's file; return its rows that could be judged, and whether nothing was wrong."""
    before, pairs = len(findings), []
    for entry in _entries(folder, kind, known, findings):
        row, wrong = _row(kind, entry)
        if row is not None:
            pairs.append((entry, row))
            continue
        findings += wrong
        fields = {one.field for one in wrong}
        _is_broken(kind, entry, fields, known)
        unread.append((kind, entry, fields))
    return pairs, len(findings) == before


def _entries(folder: Path, kind: Kind, known: Known, findings: list[Finding]) -> list[Entry]:
    """Read one kind's file; a missing file is a finding only when the kind is required."""
    path = folder / kind.file
    if not path.exists():
        # Of parts, which are items too, some may lie in the files that are there.
        known.missing |= {kind.name} if kind.place == "items" else {kind.name, kind.place}
        if kind.required:
            findings.append(Finding(kind.file, 0, "", _not_there(kind)))
        return []
    entries, wrong = sources.read(path, kind.table, kind.schema.model_fields)
    if wrong:
        findings += wrong
        known.broken.setdefault(kind.name, set()).add("")
    return entries


def _not_there(kind: Kind) -> str:
    """Say what a file that is not there begins with, and whether it may hold nothing more."""
    needed = ",".join(column.name for column in columns(kind.schema) if column.required)
    if not kind.file.endswith(".csv"):
        return _("The file is missing. It may be empty; COLUMNS.md tells what it holds.")
    told = _(
        "The file is missing. Its first line names the columns, at the least %(needed)s; no row need follow."
    )
    return told % {"needed": needed}


def _row(kind: Kind, entry: Entry) -> tuple[Any, list[Finding]]:
    """Judge one entry by its schema; return the row, or None and what is wrong with it."""
    try:
        return kind.schema.model_validate(entry.data), []
    except ValidationError as error:
        choices = {column.name: column.choices for column in columns(kind.schema) if column.choices}
        return None, list(messages.findings(entry, error, choices))


def _is_broken(kind: Kind, entry: Entry, fields: set[str], known: Known) -> None:
    """Note the key of a row that could not be judged."""
    # A row whose own key is wrong may be any row, so nothing is said to be missing from its kind.
    names = kind.schema.key_fields
    key = "" if fields & set(names) else "/".join(str(entry.data.get(name, "")) for name in names)
    for name in (kind.name, kind.place):
        known.broken.setdefault(name, set()).add(key)


def _named_in_vain(unread: list[tuple[Kind, Entry, set[str]]], known: Known) -> Iterator[Finding]:
    """Yield what rows that could not be judged name in vain, where that field itself was not told already."""
    for kind, entry, fields in unread:
        for name, message in named_in_vain(kind.schema, entry.data, known):
            if name not in fields:
                yield Finding(entry.file, entry.row, name, message)


def _index(placed: list[tuple[Kind, Entry, Any]], known: Known, findings: list[Finding]) -> None:
    """Index rows by key and note duplicates; parts share the namespace of items."""
    first: dict[tuple[str, str], Entry] = {}
    for kind, entry, row in placed:
        key = row.key()
        other = first.setdefault((kind.place, key), entry)
        if key and other is not entry:
            where = f"{other.file}, row {other.row}"
            findings.append(
                Finding(entry.file, entry.row, row.key_fields[-1], f"‘{key}’ is there already ({where}).")
            )
        for name in (kind.name, kind.place):
            known.rows.setdefault(name, {}).setdefault(key, row)


def _cross_check(placed: list[tuple[Kind, Entry, Any]], known: Known) -> Iterator[Finding]:
    """Check references and whatever rows of several files must agree on.

    A check says nothing of what depends on a row that could not be judged: one misspelt number is one
    finding, not fifty, and everything else is told in the same round.
    """
    places = {(kind.place, row.key()): entry for kind, entry, row in placed}
    for kind, entry, row in placed:
        blames = list(references(row, known)) or list(sure(kind.check(row, known)))
        yield from (Finding(entry.file, entry.row, name, message) for name, message in blames)
    for kind in kinds():
        for key, name, message in sure(kind.check_all(known)):
            entry = places.get((kind.place, key), Entry(kind.file, 0, {}))
            yield Finding(entry.file, entry.row, name, message)
