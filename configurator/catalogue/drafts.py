"""The draft that all pages add to: rows kept, merged with what is live by now, and thrown away."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from . import text_rows
from .models_changes import Draft, DraftRow
from .plain import Plain, kind_of, live_row


class EditedMeanwhileError(Exception):
    """Somebody else changed the row since it was shown; ``now`` is what it says by now."""

    def __init__(self, now: Plain | None, who: str, at: datetime | None) -> None:
        super().__init__("the row was edited meanwhile")
        self.now, self.who, self.at = now, who, at


class GrownDraftError(Exception):
    """Rows of the draft came, went or changed since it was shown."""


class ClosedDraftError(Exception):
    """The draft is live or thrown away already."""


@dataclass(frozen=True)
class Seen:
    """One row of a draft: what is live, what the draft says, and the fields on which both moved apart.

    ``clashes`` names the fields that were changed live since the draft touched them, to something else.
    """

    live: Plain | None
    now: Plain | None
    row: DraftRow | None
    clashes: tuple[str, ...] = ()

    @property
    def mark(self) -> str:
        """What a form carries, so that saving it can tell whether somebody else was quicker."""
        return mark_of(self.now)


def mark_of(row: Plain | None) -> str:
    """Return a short digest of a row."""
    return hashlib.sha256(json.dumps(row, sort_keys=True, default=str).encode()).hexdigest()[:16]


def mark_of_draft(draft: Draft) -> str:
    """Return a short digest of all that a draft holds, so that who ends it can tell that it grew."""
    rows = draft.rows.order_by("kind", "key").values_list("kind", "key", "base", "data")
    return hashlib.sha256(json.dumps(list(rows), sort_keys=True, default=str).encode()).hexdigest()[:16]


def shared() -> Draft | None:
    """Return the open draft that pages add to, if there is one."""
    return Draft.objects.filter(state=Draft.State.OPEN, is_shared=True).first()


def begin() -> Draft:
    """Return the open draft, begun if there is none; of two who begin it at once both get the same."""
    found = shared()
    if found is None:
        try:
            with transaction.atomic():
                found = Draft.objects.create()
        except IntegrityError:
            found = Draft.objects.get(state=Draft.State.OPEN, is_shared=True)
    return found


def live(kind: str, key: str) -> Plain | None:
    """Return the live row, or the live translation, of that key."""
    return text_rows.live_text(key) if kind == text_rows.TEXTS else live_row(kind_of(kind), key)


def look(draft: Draft | None, kind: str, key: str) -> Seen:
    """Return one row as the draft has it, laid over what is live by now."""
    now = live(kind, key)
    row = draft.rows.select_related("by").filter(kind=kind, key=key).first() if draft else None
    return Seen(now, now, None) if row is None else laid_over(row, now)


def laid_over(row: DraftRow, live: Plain | None) -> Seen:
    """Return a draft's row over the live one: only the fields that the draft changed are the draft's."""
    if row.data is None or row.base is None or live is None:
        gone = row.base is not None and live is None and row.data is not None
        came = row.base is None and live is not None and row.data != live
        touched = row.data is None and live is not None and live != row.base
        return Seen(live, row.data, row, ("",) if gone or came or touched else ())
    changed = {name: value for name, value in row.data.items() if row.base.get(name) != value}
    clashes = tuple(
        name for name, value in changed.items() if live.get(name) not in (row.base.get(name), value)
    )
    return Seen(live, {**live, **changed}, row, clashes)


@transaction.atomic
def keep(*, kind: str, key: str, data: Plain | None, by: Any, seen: str | None = None) -> DraftRow | None:
    """Put a row into the open draft; return it, or None where it now says what is live anyway.

    ``seen`` is the mark of the row as it was shown: another one by now raises EditedMeanwhileError, and
    nothing is kept.
    """
    draft = locked(begin())
    found = look(draft, kind, key)
    if seen is not None and seen != found.mark and mark_of(data) != found.mark:
        row = found.row
        who = row.by.get_username() if row and row.by else ""
        raise EditedMeanwhileError(found.now, who, row.at if row else None)
    return _put(draft, kind, key, found.live, data, by)


def _put(
    draft: Draft, kind: str, key: str, live: Plain | None, data: Plain | None, by: Any
) -> DraftRow | None:
    if data == live:
        draft.rows.filter(kind=kind, key=key).delete()
        return None
    values = {"base": live, "data": data, "by": by}
    return DraftRow.objects.update_or_create(draft=draft, kind=kind, key=key, defaults=values)[0]


@transaction.atomic
def keep_many(*, kind: str, rows: Mapping[str, tuple[Plain, str]], by: Any) -> tuple[int, list[str]]:
    """Keep several rows with the mark each was shown with; return how many, and the keys that were not.

    A row that somebody else changed meanwhile is left as it is.
    """
    kept, left = 0, []
    for key, (data, seen) in rows.items():
        try:
            keep(kind=kind, key=key, data=data, by=by, seen=seen)
        except EditedMeanwhileError:
            left.append(key)
        else:
            kept += 1
    return kept, left


@transaction.atomic
def drop(*, draft_id: int, kind: str, key: str) -> None:
    """Take one row out of a draft: it stays as it is live."""
    draft = locked(Draft.objects.get(pk=draft_id))
    draft.rows.filter(kind=kind, key=key).delete()


@transaction.atomic
def throw_away(*, draft_id: int, by: Any, seen: str | None = None) -> None:
    """Give a draft up; nothing of it becomes live. Doing it twice does it once.

    Raises GrownDraftError where it holds something else than what was ``seen``.
    """
    draft = Draft.objects.select_for_update().get(pk=draft_id)
    if draft.state == Draft.State.OPEN:
        as_seen(draft, seen)
        draft.state, draft.ended_by, draft.ended_at = Draft.State.THROWN, by, timezone.now()
        draft.save()


def as_seen(draft: Draft, seen: str | None) -> None:
    """Raise GrownDraftError where a draft holds something else than what was seen; ``None`` asks nothing."""
    if seen is not None and seen != mark_of_draft(draft):
        raise GrownDraftError


def locked(draft: Draft) -> Draft:
    """Return the draft with its row locked; raise ClosedDraftError when it is open no longer."""
    found = Draft.objects.select_for_update().get(pk=draft.pk)
    if found.state != Draft.State.OPEN:
        raise ClosedDraftError
    return found
