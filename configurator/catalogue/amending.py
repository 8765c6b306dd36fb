"""Rows of the catalogue mended from outside of its own pages: judged, put live as one version, noted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import transaction

from configurator.pictures import Body

from . import drafts, going_live
from .history import Origin
from .models import Generation
from .models_changes import Draft, DraftRow, Release
from .plain import Plain, kind_of
from .rows import Row

Amended = tuple[str, str, Plain | None]
"""Kind, key and the whole row as it is to be; ``None``: it is to go."""


@transaction.atomic
def amend(rows: Iterable[Amended], *, by: Any, title: str) -> Release | None:
    """Put these rows live at once, beside any draft that waits; None where they say nothing new.

    Raises `going_live.NotLiveError` with every reason, and then nothing is changed.
    """
    draft = Draft.objects.create(is_shared=False)
    for kind, key, data in rows:
        live = drafts.live(kind, key)
        if live != data:
            DraftRow.objects.create(draft=draft, kind=kind, key=key, base=live, data=data, by=by)
    return going_live.put_live(draft_id=draft.pk, by=by, origin=Origin.PAGES, title=title)


@transaction.atomic
def draw(code: str, shapes: dict[str, Any], *, by: Any, title: str) -> Release | None:
    """Store the drawing of a generation as a new version; None where it is drawn so already.

    Raises `configurator.pictures.BodyError` for shapes that are no body, or another vehicle's, and
    Generation.DoesNotExist.
    """
    body = Body.from_dict(shapes)
    generation = Generation.objects.select_for_update().get(code=code)
    if body.code != code:
        raise ValueError(f"‘{body.code}’ stands in the drawing of ‘{code}’.")
    generation.body = shapes
    generation.save(update_fields=["body"])
    return going_live.release_of(origin=Origin.PAGES, changes=(), by=by, title=title)


def schema_of(kind: str) -> type[Row]:
    """Return what a row of a kind may hold."""
    return kind_of(kind).schema
