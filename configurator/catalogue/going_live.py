"""A draft put live as one version, tried without putting it live, and a version taken back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from . import drafts, history, lint, snapshot, text_rows, versions
from .history import Change, Origin
from .kinds import Kind
from .loader import models_by_place
from .models import CatalogueVersion
from .models_changes import Draft, DraftRow, Release, RowChange
from .overlay import Flaw, drafted_rows, flaws, judge_cells
from .plain import Plain, live_rows, matching, own_kinds, query
from .pruning import remove
from .snapshot import Catalogue
from .writing import Writer

NO_FOLDER = Path("-")


class NotLiveError(Exception):
    """The draft cannot go live; ``flaws`` says of which rows and why."""

    def __init__(self, found: Iterable[Flaw]) -> None:
        self.flaws = sorted(found)
        super().__init__("; ".join(one.message for one in self.flaws))


@dataclass(frozen=True)
class Merged:
    """One row that a draft changes: what is live by now and what it is to be."""

    kind: str
    key: str
    live: Plain | None
    now: Plain | None


@transaction.atomic
def put_live(
    *,
    draft_id: int,
    by: Any,
    origin: str = Origin.PAGES,
    title: str = "",
    takes_back: Release | None = None,
    seen: str | None = None,
) -> Release | None:
    """Write a draft's rows as one new version; return how it went, or None where nothing was left to change.

    Raises NotLiveError with every reason, ClosedDraftError when somebody was quicker, GrownDraftError where
    the draft holds something else than what was ``seen``; nothing changes.
    """
    draft = drafts.locked(Draft.objects.get(pk=draft_id))
    drafts.as_seen(draft, seen)
    CatalogueVersion.objects.select_for_update().first()
    merged = merge(draft)
    wrong = check(draft, merged)
    if wrong:
        raise NotLiveError(wrong)
    apply(merged)
    wrong = {Flaw(row.kind, row.subject, "", row.message) for row in lint.of_tables()}
    if wrong:
        raise NotLiveError(wrong)
    changes = [(one.kind, one.key, one.live, one.now) for one in merged]
    release = release_of(origin=origin, changes=changes, by=by, title=title, takes_back=takes_back)
    draft.state, draft.ended_by, draft.ended_at = Draft.State.LIVE, by, timezone.now()
    draft.release = release
    draft.save()
    return release


def release_of(
    *, origin: str, changes: Iterable[Change], by: Any, title: str = "", takes_back: Release | None = None
) -> Release | None:
    """Make the version of what was written and note its changes; None where nothing differs."""
    newest = CatalogueVersion.objects.first()
    who = by.get_username() if by else ""
    made = versions.bump(note=": ".join(filter(None, (who, title))))
    if newest is not None and made.pk == newest.pk:
        return None
    return history.record(made, origin, changes, by=by, title=title, takes_back=takes_back)


def merge(draft: Draft) -> list[Merged]:
    """Return every row of a draft laid over what is live by now."""
    found = []
    for row in draft.rows.all():
        seen = drafts.laid_over(row, drafts.live(row.kind, row.key))
        found.append(Merged(row.kind, row.key, seen.live, seen.now))
    return found


def check(draft: Draft, merged: list[Merged]) -> set[Flaw]:
    """Return why a draft cannot go live: what moved apart, and what would be wrong that is right now."""
    found = set()
    for row in draft.rows.select_related("by"):
        seen = drafts.laid_over(row, drafts.live(row.kind, row.key))
        for name in seen.clashes:
            message = _("This was changed live since the draft began; look at the row and save it again.")
            found.add(Flaw(row.kind, row.key, name, message))
    found = found or flaws(as_drafted(merged))
    # What is wrong already is no reason against a draft that does not touch it.
    return found and found - flaws({})


def as_drafted(merged: list[Merged]) -> dict[str, dict[str, Plain | None]]:
    """Return merged rows by kind and key, translations left out."""
    rows = (DraftRow(kind=one.kind, key=one.key, data=one.now) for one in merged)
    return drafted_rows(rows)


def apply(merged: list[Merged]) -> None:
    """Write merged rows into the tables, in the order of the files; part of the caller's transaction."""
    writer = Writer(folder=NO_FOLDER, codes={}, models=models_by_place())
    by_kind: dict[str, list[Merged]] = {}
    for one in merged:
        by_kind.setdefault(one.kind, []).append(one)
    for kind in own_kinds():
        _write(writer, kind, by_kind.get(kind.name, []))
    for kind in reversed(own_kinds()):
        for one in by_kind.get(kind.name, []):
            if one.now is None and one.live is not None:
                _remove(kind, one.key)
    for one in by_kind.get(text_rows.TEXTS, []):
        text_rows.write_text(one.key, one.now)


def _write(writer: Writer, kind: Kind, merged: list[Merged]) -> None:
    rows = [judge_cells(kind, one.now)[0] for one in merged if one.now is not None]
    if kind.name == "paint_layers" and merged:
        # Writing coats drops those that are not among them, so all are handed over.
        own = {one.key for one in merged}
        rows += [judge_cells(kind, row)[0] for key, row in live_rows(kind) if key not in own]
    if rows:
        kind.write(writer, rows)
        for place in {kind.name, kind.place}:
            writer.cache.pop(place, None)


def _remove(kind: Kind, key: str) -> None:
    for stored in query(kind).filter(matching(kind, key)):
        # A typed part goes with its item, which is what others point at.
        remove(getattr(stored, "item", stored) if kind.namespace == "items" else stored)


def catalogue_of(draft: Draft) -> Catalogue:
    """Return the catalogue as it would be with a draft, in memory; nothing is changed.

    Raises NotLiveError where the rows are not right in themselves yet.
    """
    with transaction.atomic():
        merged = merge(draft)
        wrong = check(draft, merged)
        if wrong:
            raise NotLiveError(wrong)
        apply(merged)
        found = snapshot.tables()
        transaction.set_rollback(True)
    return found


@transaction.atomic
def take_back(*, release_id: int, by: Any) -> Release | None:
    """Put back what one version changed, as a new version.

    What was changed again since is left to a person: NotLiveError names it and nothing is changed.
    """
    release = Release.objects.select_related("version").get(pk=release_id)
    draft = Draft.objects.create(is_shared=False)
    apart = set()
    for change in release.changes.all():
        live = drafts.live(change.kind, change.key)
        back, ok = _undone(change, live)
        if not ok:
            message = _("This was changed again since; look at its history and change it by hand.")
            apart.add(Flaw(change.kind, change.key, "", message))
        elif back != live:
            DraftRow.objects.create(
                draft=draft, kind=change.kind, key=change.key, base=live, data=back, by=by
            )
    if apart:
        raise NotLiveError(apart)
    return put_live(draft_id=draft.pk, by=by, origin=Origin.BACK, takes_back=release)


def _undone(change: RowChange, live: Plain | None) -> tuple[Plain | None, bool]:
    """Return the row as it was before a change, and whether it can be: nothing of it has changed since."""
    if change.before is None:
        after = change.after or {}
        return None, live is None or all(live.get(name) == value for name, value in after.items())
    if change.after is None:
        return change.before, live is None or live == change.before
    if live is None:
        return None, False
    same = all(live.get(name) in (value, change.before[name]) for name, value in change.after.items())
    return {**live, **change.before}, same
