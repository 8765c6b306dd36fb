"""The judged rows of all files, as checks look things up in them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from . import words
from .rows import Row

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


def references(row: Row | Any, known: Known, prefix: str = "", retired: bool = False) -> Iterator[Blame]:
    """Yield every code that names no row, or one that is retired while this is not; nested rows included."""
    retired = retired or bool(getattr(row, "retired", False))
    for name, namespace in (*row.refs.items(), *row.many.items(), *row.lists.items()):
        value = getattr(row, name)
        for code in filter(None, value if isinstance(value, list) else [value]):
            other = known.get(namespace, code)
            unsure = {code, ""} & known.broken.get(namespace, set())
            if other is None and not unsure:
                named = {"code": code, "kind": words.PLURAL[namespace]}
                yield prefix + name, _("‘%(code)s’ is not among the %(kind)s.") % named
            elif getattr(other, "retired", False) and not retired:
                yield prefix + name, _("‘%(code)s’ is retired.") % {"code": code}
    for name in row.nested:
        for number, inner in enumerate(getattr(row, name), 1):
            yield from references(inner, known, f"{prefix}{name}.{number}.", retired)
