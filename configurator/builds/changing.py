"""Changes made by one button: written as the button's value, read back, made to a selection.

``-front-badge-remove +badge-front`` takes one option out and another in; ``+front-wheel:CODE`` puts a part
on an axle, ``+front-wheel:original`` the one it came with; ``accent=CODE`` and ``body=CODE`` say a colour.
What a button says is a choice like any other: it is judged with the rest, so nobody has to trust it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from configurator.catalogue.literals import PART_KINDS, UNCHANGED
from configurator.catalogue.models import Family

from .evaluation import Change
from .selection import NEAREST, POSITIONS, WAYS, Selection

if TYPE_CHECKING:
    from configurator.catalogue.snapshot import Catalogue

CODE = r"[a-z0-9][a-z0-9.+-]{0,59}"
WORD = re.compile(rf"(?P<sign>[+-])(?P<token>(?:(?:front|rear)-(?:wheel|tyre|spacer):)?{CODE})")
COLOUR = re.compile(rf"(?P<what>accent|body|way)=(?P<code>{CODE})")
MOST_WORDS = 100


@dataclass(frozen=True)
class Edit:
    """What one button changes: tokens out and in, and colours answered."""

    drop: tuple[str, ...] = ()
    add: tuple[str, ...] = ()
    accent: str | None = None
    body: str | None = None
    way: str | None = None


def edit_of(change: Change, want: str | None = None) -> Edit:
    """Return a proposed change as an edit, with ``want`` chosen as well."""
    added = change.add if want is None or want in change.add else (*change.add, want)
    return Edit(change.drop, added)


def written(edit: Edit) -> str:
    """Return the edit as a button's value."""
    words = [f"-{token}" for token in edit.drop] + [f"+{token}" for token in edit.add]
    colours = (("accent", edit.accent), ("body", edit.body), ("way", edit.way))
    words += [f"{what}={code}" for what, code in colours if code]
    return " ".join(words)


def read(text: str) -> Edit | None:
    """Return the edit that a button's value writes, ``None`` when it writes none."""
    drop: list[str] = []
    add: list[str] = []
    colours: dict[str, str] = {}
    words = text.split()
    if not words or len(words) > MOST_WORDS:
        return None
    for word in words:
        if found := WORD.fullmatch(word):
            (add if found["sign"] == "+" else drop).append(found["token"])
        elif found := COLOUR.fullmatch(word):
            colours[found["what"]] = found["code"]
        else:
            return None
    return Edit(tuple(drop), tuple(add), **colours)


def known(edit: Edit, catalogue: Catalogue) -> bool:
    """Whether the catalogue knows everything that the edit puts in."""
    parts: dict[str, dict[str, Any]] = {
        "wheel": catalogue.wheels,
        "tyre": catalogue.tyres,
        "spacer": catalogue.spacers,
    }
    for token in edit.add:
        place, colon, code = token.partition(":")
        kind = place.partition("-")[2]
        if colon:
            if code != UNCHANGED[kind] and code not in parts[kind]:
                return False
        elif token not in catalogue.options:
            return False
    if edit.way is not None and edit.way not in WAYS:
        return False
    return all(code is None or code in catalogue.finishes for code in (edit.accent, edit.body))


def apply(selection: Selection, edit: Edit, catalogue: Catalogue) -> Selection:
    """Return the selection with the edit made.

    What is put in takes the place of what its family had, where the family takes one choice.
    """
    options = set(selection.options)
    axles = {position: selection.axle(position) for position in POSITIONS}
    for token, keep in [*((t, False) for t in edit.drop), *((t, True) for t in edit.add)]:
        place, colon, code = token.partition(":")
        position, _dash, part = place.partition("-")
        if colon and position in POSITIONS and part in PART_KINDS:
            stays = not keep or code == UNCHANGED[part]
            axles[position] = axles[position].model_copy(update={part: None if stays else code})
        elif keep:
            options = {token, *(other for other in options if not _replaces(token, other, catalogue))}
        else:
            options.discard(token)
    update = {"options": tuple(sorted(options)), "finishes": _still_chosen(selection, options), **axles}
    if edit.accent:
        update |= {"accent": edit.accent, "accent_wanted_hex": None, "accent_way": NEAREST}
    if edit.way:
        update["accent_way"] = edit.way
    if edit.body:
        update |= {"body_finish": edit.body, "body_hex": None, "body_code": ""}
    return selection.model_copy(update=update)


def _replaces(token: str, other: str, catalogue: Catalogue) -> bool:
    one, two = catalogue.options.get(token), catalogue.options.get(other)
    if one is None or two is None or one.family_id != two.family_id:
        return False
    return one.family.kind == Family.Kind.ONE or one.family.limit == 1


def _still_chosen(selection: Selection, options: Iterable[str]) -> dict[str, str]:
    kept = set(options)
    return {code: finish for code, finish in selection.finishes.items() if code in kept}
