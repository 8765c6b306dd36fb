"""Making the smallest change that the evaluation proposes, and nothing that it does not."""

from __future__ import annotations

import re
from collections.abc import Iterable

from configurator.catalogue.literals import PART_KINDS, UNCHANGED

from .evaluation import Change, Evaluation
from .selection import POSITIONS, Selection

TAKE = "take"
PART_TOKEN = re.compile(r"(front|rear)-(wheel|tyre|spacer):[a-z0-9][a-z0-9.+-]{0,59}")


def proposed(evaluation: Evaluation, name: str) -> Change | None:
    """Return the change called ``conflict:0`` or by the option it opens, if it is proposed now."""
    kind, _colon, number = name.partition(":")
    if kind == TAKE:
        return taking(name)
    if kind == "conflict" and number.isdecimal():
        index = int(number[:6])
        return evaluation.conflicts[index].change if index < len(evaluation.conflicts) else None
    state = evaluation.options.get(name)
    return state.change if state else None


def taking(name: str) -> Change | None:
    """Return the change called ``take:front-spacer:CODE``: one part for one axle, or the original one."""
    found = PART_TOKEN.fullmatch(name.removeprefix(f"{TAKE}:"))
    if found is None:
        return None
    return Change(drop=(), add=(found.group(),), text="")


def apply(selection: Selection, change: Change, *, want: str | None = None) -> Selection:
    """Return the selection with the change made, and ``want`` chosen as well."""
    options = set(selection.options)
    axles = {position: selection.axle(position) for position in POSITIONS}
    add = [*change.add, want] if want else list(change.add)
    for token, keep in [*((t, False) for t in change.drop), *((t, True) for t in add)]:
        place, _colon, code = token.partition(":")
        position, _dash, part = place.partition("-")
        if code and position in POSITIONS and part in PART_KINDS:
            stays = not keep or code == UNCHANGED[part]
            axles[position] = axles[position].model_copy(update={part: None if stays else code})
        elif keep:
            options.add(token)
        else:
            options.discard(token)
    return selection.model_copy(
        update={
            "options": tuple(sorted(options)),
            "finishes": _still_chosen(selection, options),
            **axles,
        }
    )


def _still_chosen(selection: Selection, options: Iterable[str]) -> dict[str, str]:
    kept = set(options)
    return {code: finish for code, finish in selection.finishes.items() if code in kept}
