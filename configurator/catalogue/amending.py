"""Rows of the catalogue mended from outside of its own pages: judged, put live as one version, noted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from configurator.pictures import Body

from . import drafts, going_live
from .history import DRAWING, Origin
from .models import Generation
from .models_changes import Draft, DraftRow, Release, RowChange
from .overlay import Flaw
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
    return _drawn(generation, shapes, origin=Origin.PAGES, by=by, title=title)


def take_back(*, release_id: int, by: Any) -> Release | None:
    """Put back what one version changed, as a new version: rows, or the drawing that it was about.

    Raises `going_live.NotLiveError` naming what was changed again since; then nothing is changed.
    """
    drawing = RowChange.objects.filter(release=release_id, kind=DRAWING).first()
    if drawing is None:
        return going_live.take_back(release_id=release_id, by=by)
    return _take_drawing_back(drawing, by)


@transaction.atomic
def _take_drawing_back(change: RowChange, by: Any) -> Release | None:
    generation = Generation.objects.select_for_update().filter(code=change.key).first()
    if generation is None or generation.body != (change.after or {}).get("body"):
        message = _("This was changed again since; look at its history and change it by hand.")
        raise going_live.NotLiveError({Flaw(DRAWING, change.key, "", message)})
    shapes = (change.before or {}).get("body") or {}
    return _drawn(generation, shapes, origin=Origin.BACK, by=by, takes_back=change.release)


def _drawn(generation: Generation, shapes: dict[str, Any], **how: Any) -> Release | None:
    """Store a drawing and note what it was before: who drew it, and the way back."""
    name = str(generation)
    sides = ({"name": name, "body": generation.body}, {"name": name, "body": shapes})
    generation.body = shapes
    generation.save(update_fields=["body"])
    return going_live.release_of(changes=[(DRAWING, generation.code, *sides)], **how)


def schema_of(kind: str) -> type[Row]:
    """Return what a row of a kind may hold."""
    return kind_of(kind).schema
