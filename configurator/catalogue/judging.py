"""Reading and judging every file before anything is written; findings name file, row and field."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from . import bodies, languages, messages, sources
from .files import kinds
from .kinds import Kind
from .known import Known, references, sure
from .sources import Entry, Finding


def judge(folder: Path) -> tuple[dict[str, list[Any]], list[Finding]]:
    """Read and judge every file; return the rows by kind and everything wrong with them."""
    if not folder.is_dir():
        return {}, [Finding(str(folder), 0, "", "There is no such folder.")]
    findings: list[Finding] = []
    placed: list[tuple[Kind, Entry, Any]] = []
    known = Known()
    for kind in kinds():
        for entry in _entries(folder, kind, known, findings):
            row = _row(kind, entry, known, findings)
            if row is not None:
                placed.append((kind, entry, row))
    _index(placed, known, findings)
    findings += _cross_check(placed, known)
    findings += bodies.read(folder, known.rows.get("generations", {}))[1]
    translated, wrong = languages.read(folder)
    findings += wrong
    rows: dict[str, list[Any]] = {languages.KIND: translated}
    for kind, _, row in placed:
        rows.setdefault(kind.name, []).append(row)
    return rows, findings


def _entries(folder: Path, kind: Kind, known: Known, findings: list[Finding]) -> list[Entry]:
    """Read one kind's file; a missing file is a finding only when the kind is required."""
    path = folder / kind.file
    if not path.exists() and not kind.required:
        return []
    entries, wrong = sources.read(path, kind.table, kind.schema.model_fields)
    if wrong:
        findings += wrong
        known.broken.setdefault(kind.name, set()).add("")
    return entries


def _row(kind: Kind, entry: Entry, known: Known, findings: list[Finding]) -> Any:
    """Judge one entry by its schema; return the row, or None after noting what is wrong."""
    try:
        return kind.schema.model_validate(entry.data)
    except ValidationError as error:
        wrong = list(messages.findings(entry, error))
        findings += wrong
    # A row whose own code is wrong may be any row, so nothing is said to be missing from its kind.
    code = "" if any(one.field == "code" for one in wrong) else str(entry.data.get("code", ""))
    for name in (kind.name, kind.place):
        known.broken.setdefault(name, set()).add(code)
    return None


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
