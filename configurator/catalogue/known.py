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


class UnsureError(Exception):
    """A check asked for a row that could not be judged, so that it cannot tell."""


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

    def get(self, namespace: str, code: str | None) -> Any:
        """Return the row of that code, or None; raise UnsureError where it may be one that is broken."""
        found = self.find(namespace, code)
        if found is None and code and {code, ""} & self.broken.get(namespace, set()):
            raise UnsureError
        return found

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


def sure(found: Iterable[T]) -> Iterator[T]:
    """Yield what a check finds until it asks for what could not be judged: one slip is one finding."""
    try:
        yield from found
    except UnsureError:
        return


def references(row: Row | Any, known: Known, prefix: str = "", retired: bool = False) -> Iterator[Blame]:
    """Yield every code that names no row, or one that is retired while this is not; nested rows included."""
    retired = retired or bool(getattr(row, "retired", False))
    for name, namespace in (*row.refs.items(), *row.many.items(), *row.lists.items()):
        value = getattr(row, name)
        for code in filter(None, value if isinstance(value, list) else [value]):
            other = known.find(namespace, code)
            unsure = {code, ""} & known.broken.get(namespace, set())
            if other is None and not unsure:
                named = {"code": code, "kind": words.PLURAL[namespace]}
                yield prefix + name, _("‘%(code)s’ is not among the %(kind)s.") % named
            elif getattr(other, "retired", False) and not retired:
                yield prefix + name, _("‘%(code)s’ is retired.") % {"code": code}
    for name in row.nested:
        for number, inner in enumerate(getattr(row, name), 1):
            yield from references(inner, known, f"{prefix}{name}.{number}.", retired)
