"""The lists of wheels, tyres and spacers on the build page: what is asked of each, and what it shows."""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from configurator.builds import listing, suggest
from configurator.builds.evaluation import Evaluation, OptionState
from configurator.catalogue.literals import part_code
from configurator.catalogue.snapshot import Catalogue

from . import forms_cards as cards
from .forms import BuildForm
from .forms_lists import ListForm
from .told import check_word

PREFIXES = {"front": "", "rear": "rear_"}
NAMES = {
    f"{prefix}{kind}": (position, kind) for position, prefix in PREFIXES.items() for kind in listing.KINDS
}
"""Each list by the name of its field, with its axle and kind of part."""


@dataclass(frozen=True)
class Entry:
    """One part on a list: its card, how it would fit and why, and what the rules say of it."""

    card: cards.Card
    verdict: str = ""
    reason: str = ""
    state: OptionState | None = None


@dataclass(frozen=True)
class PartList:
    """One list as the page draws it.

    ``entries`` are the page of it that was asked for; ``kept`` stand before them: what the vehicle came
    with, and what is chosen where that is not on this page. ``seen`` changes when the entries do.
    """

    name: str
    kind: str
    position: str
    tools: ListForm
    found: listing.Found
    kept: tuple[Entry, ...]
    entries: tuple[Entry, ...]
    value: str
    seen: str
    elsewhere: Mapping[tuple[int | None, float | None], int]

    @property
    def is_filtered(self) -> bool:
        """Whether something is asked that is not usual, apart from the page."""
        return bool(set(self.tools.unusual()) - {f"{self.name}-page"} or self.tools.errors)

    @property
    def before(self) -> int:
        """The page before this one."""
        return self.found.page - 1

    @property
    def after(self) -> int:
        """The page after this one."""
        return self.found.page + 1

    @property
    def left_out(self) -> int:
        """How many wheels of this kind of vehicle have another bolt circle."""
        return sum(self.elsewhere.values())


def part_lists(
    form: BuildForm, evaluation: Evaluation, catalogue: Catalogue, asked: Mapping[str, Any]
) -> dict[str, PartList]:
    """Return every list of the page by the name of its field; ``asked`` is a post or a query."""
    return {
        name: part_list(name, form, evaluation, catalogue, asked)
        for name, (position, _kind) in NAMES.items()
        if name in form.fields and (position == "front" or form.rear_is_own)
    }


def part_list(
    name: str, form: BuildForm, evaluation: Evaluation, catalogue: Catalogue, asked: Mapping[str, Any]
) -> PartList:
    """Return one list, judged for the axles that its field stands for."""
    position, kind = NAMES[name]
    alike = ("front", "rear") if position == "front" and not form.rear_is_own else (position,)
    selection, tools = evaluation.selection, ListForm(kind, asked, prefix=name)
    found = listing.find(kind, selection, alike, tools.asked(), catalogue)
    tools.tell(found, catalogue)
    entries = tuple(_entries(found.rows, position, kind, evaluation))
    value = getattr(selection.axle(position), kind) or ""
    elsewhere = listing.elsewhere(selection, position, catalogue) if kind == "wheel" else {}
    kept = [_stays(kind, position, evaluation, catalogue)]
    if value and not any(entry.card.code == value for entry in entries):
        rows = listing.rows(kind, selection, alike, catalogue)
        kept += _entries((row for row in rows if row.code == value), position, kind, evaluation)
    shown = tuple(entry for entry in kept if entry is not None)
    return PartList(
        name, kind, position, tools, found, shown, entries, value, _seen(shown[:1], entries, found), elsewhere
    )


def _seen(stays: tuple[Entry, ...], entries: tuple[Entry, ...], found: listing.Found) -> str:
    """Return what differs when the list would look different, whatever is chosen from it."""
    told = [(e.card.code, e.card.name, e.verdict, e.reason, repr(e.state)) for e in (*stays, *entries)]
    return f"{zlib.crc32(repr((told, found.total, found.known)).encode()):x}"


def _entries(rows: Any, position: str, kind: str, evaluation: Evaluation) -> Iterator[Entry]:
    for row in rows:
        yield Entry(
            replace(cards.part_card(kind, row.part), token=f"{position}-{kind}:{row.code}"),
            row.verdict,
            check_word(row.check, row.verdict),
            evaluation.options.get(f"{position}-{kind}:{row.code}"),
        )


def _stays(kind: str, position: str, evaluation: Evaluation, catalogue: Catalogue) -> Entry | None:
    """Return the entry that leaves the axle as it came; tyres stay only on a rim that they suit."""
    axle = catalogue.axles.get((evaluation.selection.generation, position))
    if axle is None:
        return None
    chosen = evaluation.selection.axle(position)
    if kind == "tyre":
        wheel = catalogue.wheels.get(chosen.wheel) if chosen.wheel else None
        if not suggest.keeps_tyre(axle, wheel):
            return None
    return Entry(replace(cards.stays_card(kind, axle), token=part_code(position, kind, None)))


def changed(part_lists: Mapping[str, PartList], posted: Mapping[str, Any]) -> list[PartList]:
    """Return the lists that look different from what the browser shows."""
    return [one for one in part_lists.values() if posted.get(f"{one.name}-seen") != one.seen]


def query(posted: Any) -> str:
    """Return what is asked of the lists as a query, without what is usual, to come back to them."""
    asked: dict[str, str] = {}
    for name, (_position, kind) in NAMES.items():
        asked |= ListForm(kind, posted, prefix=name).unusual()
    return urlencode(asked)


def pressed(posted: Any) -> str | None:
    """Return the list whose button was pressed: the page comes twice, as it was and as it is wanted."""
    return next((name for name in NAMES if len(posted.getlist(f"{name}-page")) > 1), None)
