"""Looks at a catalogue that is about to be loaded, registered by rooms that know more than rows.

A look gets the snapshot as it would be and yields findings; one finding keeps the files from going live.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from .snapshot import Catalogue
from .sources import Finding

Look = Callable[[Catalogue], Iterable[Finding]]
_looks: list[Look] = []


def looks(look: Look) -> Look:
    """Register a look; used as a decorator."""
    if look not in _looks:
        _looks.append(look)
    return look


def findings(catalogue: Catalogue) -> Iterator[Finding]:
    """Yield what every look finds."""
    for look in _looks:
        yield from look(catalogue)
