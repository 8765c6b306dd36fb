"""Edits on pages that files would put back: found before anything is written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from .history import DRAWING, Origin, Picture
from .models_changes import Release, RowChange
from .plain import Plain
from .text_rows import TEXTS


@dataclass(frozen=True)
class NewerEdit:
    """One row that was edited since files were loaded last, and that the files say otherwise.

    ``fields`` gives (name, live value, the file's value); it is empty where the row as a whole came or went.
    """

    kind: str
    key: str
    who: str
    at: datetime
    fields: tuple[tuple[str, object, object], ...]

    def __str__(self) -> str:
        who = _("%(who)s on %(day)s") % {"who": self.who or _("somebody"), "day": f"{self.at:%Y-%m-%d %H:%M}"}
        if self.kind == DRAWING:
            told = _("The drawing of ‘%(key)s’ was changed by %(who)s, and the files say otherwise.")
            return told % {"key": self.key, "who": who}
        if not self.fields:
            return _("%(kind)s ‘%(key)s’ came or went by %(who)s, and the files say otherwise.") % {
                "kind": self.kind,
                "key": self.key,
                "who": who,
            }
        told = "; ".join(
            _("%(field)s is %(live)s, the files say %(file)s") % {"field": name, "live": live, "file": file}
            for name, live, file in self.fields
        )
        return _("%(kind)s ‘%(key)s’, edited by %(who)s: %(told)s.") % {
            "kind": self.kind,
            "key": self.key,
            "who": who,
            "told": told,
        }


def newer_edits(before: Picture, files: Mapping[str, Mapping[str, Plain]], *, prune: bool) -> list[NewerEdit]:
    """Return what people edited since files were loaded last and the files would put back."""
    last = Release.objects.filter(origin=Origin.FILES).order_by("-pk").values_list("pk", flat=True).first()
    edits = RowChange.objects.filter(release__pk__gt=last or 0).exclude(release__origin=Origin.FILES)
    by_row: dict[tuple[str, str], list[RowChange]] = {}
    for change in edits.select_related("release__by").order_by("pk"):
        by_row.setdefault((change.kind, change.key), []).append(change)
    return [
        found
        for (kind, key), changes in by_row.items()
        for found in _against(changes, before.get(kind, {}).get(key), files, prune)
    ]


def _against(
    changes: list[RowChange], live: Plain | None, files: Mapping[str, Mapping[str, Plain]], prune: bool
) -> Iterator[NewerEdit]:
    latest = changes[-1]
    kind, key, release = latest.kind, latest.key, latest.release
    said = files.get(kind, {}).get(key)
    who = release.by.get_username() if release.by else ""
    if (live is None) != (said is None):
        # A row that the files no longer hold stays without --prune; translations are replaced as a whole.
        if live is None or prune or kind == TEXTS:
            yield NewerEdit(kind, key, who, release.at, ())
    elif live is not None and said is not None:
        touched = {name for change in changes for name in (change.after or change.before or ())}
        fields = tuple(
            (name, live[name], said[name])
            for name in live
            if name in touched and name in said and live[name] != said[name]
        )
        if fields:
            yield NewerEdit(kind, key, who, release.at, fields)
