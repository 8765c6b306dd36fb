"""What differs between two revisions, in rows in the reader's language.

``comparing`` answers values; here each is worded, from the texts that were frozen with the revisions.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import takewhile

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from configurator.builds import comparing
from configurator.builds.comparing import Value, compare
from configurator.builds.evaluation import Evaluation, Price
from configurator.builds.sentences import say
from configurator.catalogue.workshop import DEFAULT_CURRENCY
from configurator.pages.differences import PARTS
from configurator.pages.told import figure, localised, money, quantity, told, verdict_word
from configurator.pages.told_codes import name_of_check

AREAS: dict[str, str | Promise] = {
    **dict.fromkeys(comparing.CHOICES, _("Choices")),
    **dict.fromkeys((comparing.FIT, comparing.CHECK), _("Fit")),
    comparing.PART: _("Parts"),
    **dict.fromkeys((comparing.STEP_H, comparing.HANDS_ON_H, comparing.DAYS), _("Work")),
    **dict.fromkeys((comparing.LINE, comparing.TOTAL, comparing.DEPOSIT), _("Price")),
}
WHAT = {
    "vehicle": _("Vehicle"),
    comparing.BODY: _("Body colour"),
    comparing.ACCENT: _("Accent colour"),
    comparing.HANDS_ON_H: _("Hands-on in all"),
    comparing.DAYS: _("Working days in the workshop"),
    comparing.TOTAL: _("Total"),
    comparing.DEPOSIT: _("Deposit"),
}
AXLES = {"front": _("Front axle"), "rear": _("Rear axle"), "vehicle": _("Vehicle")}


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
    area = str(AREAS.get(row.what, ""))
    if row.what == comparing.OPTION:
        yield _option(
            area, *(told(side) if isinstance(side, str) else "" for side in (row.before, row.after))
        )
    elif area:
        old, new = (_value(row.what, value, after) for value in (row.before, row.after))
        yield Difference(area, _name(row, before, after), old, new)


def _name(row: comparing.Difference, before: Evaluation, after: Evaluation) -> str:
    if row.what == comparing.FIT:
        return str(AXLES[row.place])
    if row.what == comparing.CHECK:
        return f"{name_of_check(row.subject)}, {_place(row.place)}"
    if row.what in (comparing.PART, comparing.STEP_H):
        return ", ".join(filter(None, (told(row.subject), _place(row.place))))
    if row.what == comparing.LINE:
        return told(_label(after, row.subject) or _label(before, row.subject) or row.subject)
    return str(WHAT.get(row.what) or PARTS[row.what, row.place])


def _place(place: str) -> str:
    return told(say(place)) if place in ("front", "rear") else told(place)


def _label(found: Evaluation, choice: str) -> str:
    """Return a price line's label: one named anew, because its colour changed, goes by its new name."""
    lines = found.price.lines if found.price else ()
    return next((line.label for line in lines if line.choice == choice), "")


def _value(what: str, value: Value, found: Evaluation) -> str:
    if value is None:
        return ""
    if isinstance(value, tuple):
        return quantity(value[0], value[1]) if len(value) == 2 else _check(*value)
    if isinstance(value, Decimal):
        return money(value, found.price.currency if found.price else DEFAULT_CURRENCY)
    if what in (comparing.STEP_H, comparing.HANDS_ON_H):
        return figure(value, "h")
    return (
        verdict_word(str(value))
        if what == comparing.FIT
        else told(value)
        if isinstance(value, str)
        else str(value)
    )


def _check(verdict: str, margin: float | None, unit: str) -> str:
    if margin is None:
        return verdict_word(verdict)
    sign = "+" if margin >= 0 else ""
    shown = f"{sign}{localised(margin, 1)} {unit}".strip()
    return gettext("%(verdict)s, margin %(margin)s") % {"verdict": verdict_word(verdict), "margin": shown}


def _option(area: str, old: str, new: str) -> Difference:
    """Options by their code: one that is named anew, because its colour changed, is one row."""
    if old and new:
        return Difference(area, _shared_start(old, new), old, new)
    yes = gettext("yes")
    return Difference(area, old or new, yes if old else "", yes if new else "")


def _shared_start(old: str, new: str) -> str:
    """Return the words that both names begin with, without the "in" that leads to a colour."""
    pairs = takewhile(lambda pair: pair[0] == pair[1], zip(old.split(), new.split(), strict=False))
    return " ".join(word for word, _same in pairs).removesuffix(" in") or old


@dataclass(frozen=True)
class Offer:
    """What a change would make of a job: what is chosen first and whole, then all that follows from it."""

    rows: tuple[Difference, ...]
    before: Price | None
    after: Price | None

    @property
    def chosen(self) -> list[Difference]:
        """What is chosen otherwise, and what it does to the fit."""
        areas = {str(AREAS[comparing.BODY]), str(AREAS[comparing.FIT])}
        return [row for row in self.rows if row.area in areas]

    @property
    def follows(self) -> list[Difference]:
        """What follows in parts and work."""
        return [row for row in self.rows if row not in self.chosen and row not in self.priced]

    @property
    def priced(self) -> list[Difference]:
        """What follows in prices."""
        return [row for row in self.rows if row.area == str(AREAS[comparing.TOTAL])]


def offer(before: Evaluation, after: Evaluation) -> Offer:
    """Return what a change would make of a job."""
    return Offer(tuple(differences(before, after)), before.price, after.price)
