"""The judged rows of all files, as checks look things up in them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, TypeVar

from django.utils.translation import gettext as _

from . import words
from .rows import Row

T = TypeVar("T")
Blame = tuple[str, str]
"""A field and what is wrong with it."""
GOODS = ("items", "wheels", "tyres", "spacers", "fasteners", "centring_rings")


class UnsureError(Exception):
    """A check asked for a row that could not be judged, so that it cannot tell."""


@dataclass
class Known:
    """All judged rows by namespace and key; what a check may look things up in."""

    rows: dict[str, dict[str, Any]] = field(default_factory=dict)
    broken: dict[str, set[str]] = field(default_factory=dict)
    missing: set[str] = field(default_factory=set)
    """Namespaces whose file is not there: it holds no row, and that is told once for the whole file."""
    memo: dict[str, Any] = field(default_factory=dict)

    def once(self, name: str, make: Callable[[Known], Any]) -> Any:
        """Return what ``make`` makes of all rows, made once however many rows ask for it."""
        if name not in self.memo:
            self.memo[name] = make(self)
        return self.memo[name]

    def get(self, namespace: str, code: str | None) -> Any:
        """Return the row of that code, or None; raise UnsureError where it may be one that is broken."""
        found = self.find(namespace, code)
        if found is None and code and self.is_unsure(namespace, code):
            raise UnsureError
        return found

    def is_unsure(self, namespace: str, code: str) -> bool:
        """Whether a row that was not found may be one that is broken, or in a file that is not there."""
        return namespace in self.missing or bool({code, ""} & self.broken.get(namespace, set()))

    def has(self, namespace: str) -> bool:
        """Whether there are rows that are offered, of which some may be broken."""
        return bool(self.broken.get(namespace)) or any(not row.retired for row in self.some(namespace))

    def find(self, namespace: str, code: str | None) -> Any:
        """Return the row of that code among those that could be judged, or None."""
        return self.rows.get(namespace, {}).get(code or "")

    def all(self, namespace: str) -> Iterable[Any]:
        """Return every row of a namespace in the files' order; raise UnsureError where one is broken."""
        if self.broken.get(namespace):
            raise UnsureError
        return self.some(namespace)

    def some(self, namespace: str) -> Iterable[Any]:
        """Return the rows of a namespace that could be judged."""
        return self.rows.get(namespace, {}).values()

    def numbered(self) -> Iterator[tuple[str, str, str]]:
        """Yield every good's supplier, the supplier's number for it, and its code."""
        for namespace in GOODS:
            for row in self.some(namespace):
                yield row.supplier, row.supplier_ref, row.code


def sure(found: Iterable[T]) -> Iterator[T]:
    """Yield what a check finds until it asks for what could not be judged: one slip is one finding."""
    try:
        yield from found
    except UnsureError:
        return


def named_in_vain(schema: type[Row], data: dict[str, Any], known: Known) -> Iterator[Blame]:
    """Yield what a row that could not be judged names in vain: told now, it needs no other round."""
    for name, namespace in schema.refs.items():
        code = data.get(name)
        if not isinstance(code, str) or not code or known.is_unsure(namespace, code):
            continue
        if known.find(namespace, code) is None:
            yield name, _not_among(code, namespace)


def _not_among(code: str, namespace: str) -> str:
    named = {"code": code, "kind": words.PLURAL[namespace]}
    return _("‘%(code)s’ is not among the %(kind)s.") % named


def references(row: Row | Any, known: Known, prefix: str = "", retired: bool = False) -> Iterator[Blame]:
    """Yield every code that names no row, or one that is retired while this is not; nested rows included."""
    retired = retired or bool(getattr(row, "retired", False))
    for name, namespace in (*row.refs.items(), *row.many.items(), *row.lists.items()):
        value = getattr(row, name)
        for code in filter(None, value if isinstance(value, list) else [value]):
            other = known.find(namespace, code)
            if other is None and not known.is_unsure(namespace, code):
                yield prefix + name, _not_among(code, namespace)
            elif getattr(other, "retired", False) and not retired:
                yield prefix + name, _("‘%(code)s’ is retired.") % {"code": code}
    for name in row.nested:
        for number, inner in enumerate(getattr(row, name), 1):
            yield from references(inner, known, f"{prefix}{name}.{number}.", retired)
