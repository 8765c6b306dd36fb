"""Loading a whole catalogue from a folder of readable files: all of it, or nothing of it.

A ``Kind`` says which file holds which rows and who writes them. Every file is read and every row judged
before anything is written; the findings name file, row and field. Another app adds a file of its own with
``register`` (from its ``AppConfig.ready``)::

    register(Kind("stock", "stock.csv", StockRow, write_stock, required=False))

where ``StockRow`` derives from ``rows.Row`` (its ``refs`` name the namespaces it points into, such as
``items``) and ``write_stock(writer, rows)`` gets the judged rows and ``writer.ids("items")``, a map from
code to primary key, inside the loading transaction. It should be safe to run twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.models import Model
from pydantic import ValidationError

from . import bodies, messages, sources, versions
from .models import CatalogueVersion
from .pruning import gone_rows, remove
from .rows import Row
from .sources import Entry, Finding

Blame = tuple[str, str]
"""A field and what is wrong with it."""


@dataclass
class Known:
    """All judged rows by namespace and key; what a check may look things up in."""

    rows: dict[str, dict[str, Any]] = field(default_factory=dict)
    broken: dict[str, set[str]] = field(default_factory=dict)
    memo: dict[str, Any] = field(default_factory=dict)

    def once(self, name: str, make: Callable[[Known], Any]) -> Any:
        """Return what ``make`` makes of all rows, made once however many rows ask for it."""
        if name not in self.memo:
            self.memo[name] = make(self)
        return self.memo[name]

    def is_whole(self, kinds: Iterable[str]) -> bool:
        """Whether every row of these kinds could be judged, so that what is not there is not there."""
        return not any(self.broken.get(kind) for kind in kinds)

    def get(self, namespace: str, code: str | None) -> Any:
        """Return the row of that code, or None."""
        return self.rows.get(namespace, {}).get(code or "")

    def all(self, namespace: str) -> Iterable[Any]:
        """Return every row of a namespace in the files' order."""
        return self.rows.get(namespace, {}).values()


@dataclass
class Writer:
    """Hands a kind's write function the primary keys of rows already written."""

    folder: Path
    codes: dict[str, set[str]]
    cache: dict[str, dict[str, Any]] = field(default_factory=dict)

    def ids(self, namespace: str) -> dict[str, Any]:
        """Return code to primary key for a namespace, read once after that namespace was written."""
        if namespace not in self.cache:
            model = next(kind.model for kind in kinds() if kind.place == namespace and kind.model)
            pairs: Iterable[tuple[str, Any]] = model._default_manager.values_list("code", "pk")
            self.cache[namespace] = dict(pairs)
        return self.cache[namespace]


@dataclass(frozen=True)
class Kind:
    """One catalogue file: its rows' schema, what else must hold, and who writes it.

    ``namespace`` is where its keys live (wheels and tyres are items too); ``table`` the array of a TOML
    file; ``check(row, known)`` yields a field and a message for what one row alone cannot tell;
    ``check_all(known)`` yields (key, field, message) for what is missing as a whole; ``model`` is where
    rows gone from the file are looked for; ``looks_at`` the kinds whose rows both checks rely on.
    """

    name: str
    file: str
    schema: type[Row]
    write: Callable[[Writer, list[Any]], None]
    namespace: str = ""
    table: str = ""
    model: type[Model] | None = None
    required: bool = True
    looks_at: tuple[str, ...] = ()
    check: Callable[[Any, Known], Iterable[Blame]] = lambda row, known: ()
    check_all: Callable[[Known], Iterable[tuple[str, str, str]]] = lambda known: ()

    @property
    def place(self) -> str:
        """The namespace its keys live in, by default its own name."""
        return self.namespace or self.name


@dataclass(frozen=True)
class Loaded:
    """What a load did: rows per kind, the version, rows no longer in the files, and what happened to them."""

    counts: dict[str, int]
    version: CatalogueVersion
    changed: bool
    gone: tuple[str, ...]


class CatalogueError(Exception):
    """The files hold mistakes; ``findings`` lists every one of them and nothing was changed."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(sorted(set(findings)))
        super().__init__("\n".join(map(str, self.findings)))


_kinds: dict[str, Kind] = {}
_final_checks: list[Callable[[], Iterable[Finding]]] = []


def register(kind: Kind) -> None:
    """Add a kind after those registered so far; the same name replaces the former."""
    _kinds[kind.name] = kind


def register_final_check(check: Callable[[], Iterable[Finding]]) -> None:
    """Add a check of the whole, run on the tables as written, inside the transaction."""
    if check not in _final_checks:
        _final_checks.append(check)


def kinds() -> tuple[Kind, ...]:
    """Return every registered kind in the order in which they are written."""
    from . import kinds as own  # registers the catalogue's own kinds on first use

    return (*own.KINDS, *(kind for kind in _kinds.values()))


def final_checks() -> tuple[Callable[[], Iterable[Finding]], ...]:
    """Return the checks of the whole that run before a load is committed."""
    from . import kinds as own

    return (*own.FINAL_CHECKS, *_final_checks)


def load(folder: Path, *, prune: bool = False) -> Loaded:
    """Judge and write a whole folder in one transaction; raise CatalogueError with every finding.

    With ``prune`` rows that are no longer in the files are deleted unless something still uses them;
    without it they are reported and stay.
    """
    rows, findings = judge(folder)
    if findings:
        raise CatalogueError(findings)
    with transaction.atomic():
        before = CatalogueVersion.objects.first()
        writer = Writer(folder=folder, codes=_codes(rows))
        for kind in kinds():
            kind.write(writer, rows.get(kind.name, []))
            writer.cache.pop(kind.place, None)
        gone = _gone(writer.codes, prune)
        wrong = [finding for check in final_checks() for finding in check()]
        if wrong:
            raise CatalogueError(wrong)
        version = versions.bump(note=f"loaded from {folder.name}")
    counts = {kind.name: len(rows.get(kind.name, [])) for kind in kinds()}
    return Loaded(counts, version, before is None or before.pk != version.pk, tuple(gone))


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
    rows: dict[str, list[Any]] = {}
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

    A check waits until the rows it relies on are whole: one misspelt number is one finding, not fifty.
    """
    places = {(kind.name, row.key()): entry for kind, entry, row in placed}
    for kind, entry, row in placed:
        blames = list(references(row, known))
        if not blames and known.is_whole(kind.looks_at):
            blames = list(kind.check(row, known))
        yield from (Finding(entry.file, entry.row, name, message) for name, message in blames)
    for kind in kinds():
        if known.is_whole((kind.name, *kind.looks_at)):
            for key, name, message in kind.check_all(known):
                entry = places.get((kind.name, key), Entry(kind.file, 0, {}))
                yield Finding(entry.file, entry.row, name, message)


def references(row: Row, known: Known, prefix: str = "") -> Iterator[Blame]:
    """Yield every code that names no row, nested rows included."""
    for name, namespace in (*row.refs.items(), *row.many.items(), *row.lists.items()):
        value = getattr(row, name)
        for code in value if isinstance(value, list) else [value]:
            missing = code and known.get(namespace, code) is None
            if missing and not {code, ""} & known.broken.get(namespace, set()):
                yield prefix + name, f"‘{code}’ is not among the {namespace.replace('_', ' ')}."
    for name in row.nested:
        for number, inner in enumerate(getattr(row, name), 1):
            yield from references(inner, known, f"{prefix}{name}.{number}.")


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
