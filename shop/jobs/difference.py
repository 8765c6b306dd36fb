"""What differs between two revisions, in rows that people can read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import takewhile

from configurator.builds import comparing
from configurator.builds.comparing import Value, compare
from configurator.builds.evaluation import Evaluation

YES = "yes"
AREAS = {
    **dict.fromkeys(comparing.CHOICES, "Choices"),
    **dict.fromkeys((comparing.FIT, comparing.CHECK), "Fit"),
    comparing.PART: "Parts",
    **dict.fromkeys((comparing.STEP_H, comparing.HANDS_ON_H, comparing.DAYS), "Work"),
    **dict.fromkeys((comparing.LINE, comparing.TOTAL, comparing.DEPOSIT), "Price"),
}
WHAT = {
    "vehicle": "Vehicle",
    comparing.BODY: "Body colour",
    comparing.ACCENT: "Accent colour",
    comparing.HANDS_ON_H: "Hands-on in all",
    comparing.DAYS: "Working days in the workshop",
    comparing.TOTAL: "Total",
    comparing.DEPOSIT: "Deposit",
}
PLACES = {"front": "Front", "rear": "Rear", comparing.BOTH: "Front and rear"}


@dataclass(frozen=True)
class Difference:
    """One thing that was ``before`` and is ``after``; an empty text means it was not there."""

    area: str
    what: str
    before: str
    after: str


def differences(before: Evaluation, after: Evaluation) -> list[Difference]:
    """Return every difference that matters to a person: choices, fit, parts, work, price."""
    return [told for row in compare(before, after) for told in _told(row, before, after)]


def _told(row: comparing.Difference, before: Evaluation, after: Evaluation) -> Iterator[Difference]:
    if row.what == comparing.OPTION:
        yield _option(str(row.before or ""), str(row.after or ""))
    elif row.what in AREAS:
        old, new = (_value(row.what, value, after) for value in (row.before, row.after))
        yield Difference(AREAS[row.what], _name(row, before, after), old, new)


def _name(row: comparing.Difference, before: Evaluation, after: Evaluation) -> str:
    place = PLACES.get(row.place, row.place)
    if row.what == comparing.FIT:
        return f"{place} axle"
    if row.what == comparing.CHECK:
        return f"{place} {row.subject.replace('_', ' ')}"
    if row.what == comparing.PART:
        return f"{row.subject}, {row.place}" if row.place else row.subject
    if row.what == comparing.LINE:
        return _label(after, row.subject) or _label(before, row.subject) or row.subject
    if row.what == comparing.STEP_H:
        return f"{row.subject}, {row.place}" if row.place else row.subject
    return WHAT.get(row.what) or f"{place} {row.what}"


def _label(found: Evaluation, choice: str) -> str:
    """Return a price line's label: one named anew, because its colour changed, goes by its new name."""
    lines = found.price.lines if found.price else ()
    return next((line.label for line in lines if line.choice == choice), "")


def _value(what: str, value: Value, found: Evaluation) -> str:
    if value is None:
        return ""
    if isinstance(value, tuple):
        return _amount(value[0], value[1]) if len(value) == 2 else _check(*value)
    if isinstance(value, Decimal):
        return f"{value} {found.price.currency}" if found.price else str(value)
    return f"{value:g} h" if what in (comparing.STEP_H, comparing.HANDS_ON_H) else str(value)


def _amount(quantity: Decimal, unit: str) -> str:
    return f"{quantity.normalize():f} {unit}"


def _check(verdict: str, margin: float | None, unit: str) -> str:
    return verdict if margin is None else f"{verdict}, margin {margin:+.1f} {unit}"


def _option(old: str, new: str) -> Difference:
    """Options by their code: one that is named anew, because its colour changed, is one row."""
    if old and new:
        return Difference("Choices", _shared_start(old, new), old, new)
    return Difference("Choices", old or new, YES if old else "", YES if new else "")


def _shared_start(old: str, new: str) -> str:
    """Return the words that both names begin with, without the "in" that leads to a colour."""
    pairs = takewhile(lambda pair: pair[0] == pair[1], zip(old.split(), new.split(), strict=False))
    return " ".join(word for word, _ in pairs).removesuffix(" in") or old
