"""Who changed what and when: recorded with every version, asked for by row or by version."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from . import plain, text_rows
from .models import CatalogueVersion
from .models_changes import Release, RowChange
from .plain import Plain

BATCH = 500
DRAWING = "bodies"
"""What a change of a vehicle's drawing goes by; its shapes lie in files and on the vehicle, in no row."""
Origin = Release.Origin
Change = tuple[str, str, Plain | None, Plain | None]
"""Kind, key, the whole row as it was and as it is; ``None`` where it was not there."""

Picture = dict[str, dict[str, Plain]]
"""Every plain row by kind and key, translations included."""


def record(
    version: CatalogueVersion,
    origin: str,
    changes: Iterable[Change],
    *,
    by: Any = None,
    title: str = "",
    takes_back: Release | None = None,
) -> Release:
    """Note what a version changed; call it inside the transaction that made the version."""
    release = Release.objects.create(
        version=version, origin=origin, by=by, title=title[:200], takes_back=takes_back
    )
    noted = (_noted(release, *one) for one in changes if one[2] != one[3])
    while batch := list(islice(noted, BATCH)):
        RowChange.objects.bulk_create(batch)
    return release


def _noted(release: Release, kind: str, key: str, before: Plain | None, after: Plain | None) -> RowChange:
    name = plain.name_of(after or before)
    old, new = plain.differing(before, after)
    return RowChange(release=release, kind=kind, key=key, name=name, before=old, after=new)


def picture() -> Picture:
    """Return every row as it is now."""
    return {**plain.everything(), text_rows.TEXTS: text_rows.live_texts()}


def between(before: Picture, after: Mapping[str, Mapping[str, Plain]]) -> Iterable[Change]:
    """Yield every row that differs between two pictures of the catalogue."""
    for kind in dict.fromkeys([*before, *after]):
        old, new = before.get(kind, {}), after.get(kind, {})
        for key in dict.fromkeys([*old, *new]):
            if old.get(key) != new.get(key):
                yield kind, key, old.get(key), new.get(key)


def of_row(kind: str, key: str) -> QuerySet[RowChange]:
    """Return the changes of one row, newest first."""
    found = RowChange.objects.filter(kind=kind, key=key)
    return found.select_related("release__version", "release__by").order_by("-pk")


def releases() -> QuerySet[Release]:
    """Return how the versions came about, newest first."""
    return Release.objects.select_related("version", "by", "takes_back__version").order_by("-pk")
