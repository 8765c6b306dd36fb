"""The live rows with a draft's laid over them, in the shape in which files are judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from . import messages
from .files import kinds
from .kinds import Kind
from .known import Known, references
from .plain import Plain, key_of, matching, own_kinds, query
from .rows import Row
from .sources import Entry
from .stored import as_row, numbers_of_goods
from .text_rows import TEXTS

Drafted = Mapping[str, Mapping[str, Plain | None]]
"""A draft's rows by kind and key; ``None`` is a row that is to go."""


@dataclass(frozen=True, order=True)
class Flaw:
    """What is wrong with one row: its kind and key, the field, and the message beside it."""

    kind: str
    key: str
    field: str
    message: str


class Overlaid(Known):
    """The catalogue as it would be: rows are read when they are asked for, one by one or a kind at a time."""

    def __init__(self, drafted: Drafted) -> None:
        super().__init__()
        self.drafted = drafted
        self._single: dict[tuple[str, str], Any] = {}
        self._judged: dict[tuple[str, str], Any] = {}

    def get(self, namespace: str, code: str | None) -> Any:
        """Return the row of that code, or None."""
        if not code:
            return None
        if namespace in self.rows:
            return self.rows[namespace].get(code)
        if (namespace, code) not in self._single:
            self._single[namespace, code] = self._find(namespace, code)
        return self._single[namespace, code]

    find = get

    def all(self, namespace: str) -> Iterable[Any]:
        """Return every row of a namespace."""
        if namespace not in self.rows:
            self.rows[namespace] = dict(self._read(namespace))
        return self.rows[namespace].values()

    some = all

    def numbered(self) -> Iterator[tuple[str, str, str]]:
        """Yield every good's supplier, the supplier's number and the code; the tables in one query."""
        drafted = [(kind, key) for kind in _within("items") for key in self.drafted.get(kind.name, {})]
        hidden = {key for _, key in drafted}
        yield from (one for one in numbers_of_goods() if one[2] not in hidden)
        for kind, key in drafted:
            row = self._drafted(kind, key)
            if row is not None:
                yield row.supplier, row.supplier_ref, row.code

    def _find(self, namespace: str, code: str) -> Any:
        for kind in _within(namespace):
            drafted = self.drafted.get(kind.name, {})
            if code in drafted:
                found = self._drafted(kind, code)
                if found is not None:
                    return found
            elif stored := query(kind).filter(matching(kind, code)).first():
                return as_row(kind.schema, stored)
        return None

    def _read(self, namespace: str) -> Iterator[tuple[str, Any]]:
        for kind in _within(namespace):
            drafted = self.drafted.get(kind.name, {})
            for stored in query(kind).iterator(chunk_size=2000):
                row = as_row(kind.schema, stored)
                key = row.key()
                if key not in drafted:
                    yield key, row
            for key in drafted:
                row = self._drafted(kind, key)
                if row is not None:
                    yield key, row

    def _drafted(self, kind: Kind, key: str) -> Any:
        """Return a draft's row, judged once; None where it is to go or is not yet right in itself."""
        if (kind.name, key) not in self._judged:
            data = self.drafted[kind.name][key]
            self._judged[kind.name, key] = judge_cells(kind, data)[0] if data is not None else None
        return self._judged[kind.name, key]


def _within(namespace: str) -> list[Kind]:
    """Return the kinds whose rows a namespace holds: wheels are items too."""
    return [kind for kind in own_kinds() if namespace in (kind.name, kind.place)]


def judge_cells(kind: Kind, data: Mapping[str, Any]) -> tuple[Row | None, list[tuple[str, str]]]:
    """Judge a row by its schema alone; return it, or None, and what is wrong by field."""
    try:
        return kind.schema.model_validate(dict(data)), []
    except ValidationError as error:
        found = messages.findings(Entry(kind.file, 0, dict(data)), error)
        return None, [(one.field, one.message) for one in found]


def judge_row(kind: Kind, data: Mapping[str, Any], known: Known) -> tuple[Row | None, list[tuple[str, str]]]:
    """Judge a row as the loader would: by its schema, what it refers to, and what it must agree with."""
    row, wrong = judge_cells(kind, data)
    if row is None:
        return None, wrong
    wrong = list(references(row, known))
    return row, wrong or list(kind.check(row, known))


def flaws(drafted: Drafted) -> set[Flaw]:
    """Return everything wrong with the catalogue as it would be."""
    known = Overlaid(drafted)
    found: set[Flaw] = set()
    for kind in own_kinds():
        for key, data in drafted.get(kind.name, {}).items():
            if data is not None:
                row, wrong = judge_cells(kind, data)
                found |= {Flaw(kind.name, key, *one) for one in wrong}
                if row is not None and key_of(kind, data) != key:
                    found.add(Flaw(kind.name, key, kind.schema.key_fields[-1], key_of(kind, data)))
        for row in known.all(kind.name):
            wrong = list(references(row, known)) or list(kind.check(row, known))
            found |= {Flaw(kind.name, row.key(), *one) for one in wrong}
        found |= {Flaw(kind.name, *one) for one in kind.check_all(known)}
    return found


def drafted_rows(rows: Iterable[Any]) -> dict[str, dict[str, Plain | None]]:
    """Return a draft's stored rows by kind and key, translations left out."""
    found: dict[str, dict[str, Plain | None]] = {}
    for row in rows:
        if row.kind != TEXTS and row.kind in {kind.name for kind in kinds()}:
            found.setdefault(row.kind, {})[row.key] = row.data
    return found
