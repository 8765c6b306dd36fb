"""The judged rows of all files, as checks look things up in them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

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


def references(row: Row | Any, known: Known, prefix: str = "") -> Iterator[Blame]:
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
