"""What differs between two revisions of one build, in plain words and from what was frozen alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from configurator.spec.evaluation import Evaluation
from shop.messages.words import money


@dataclass(frozen=True)
class Difference:
    """One thing that is not the same; an empty side has nothing there."""

    what: str
    before: str
    after: str


def differences(before: Evaluation, after: Evaluation) -> list[Difference]:
    """Return what was taken out, put in and changed: choices first, then price, deposit, time, fit."""
    return [
        *_choices(before.summary, after.summary),
        *_money(before, after),
        *_time(before, after),
        *_fit(before, after),
    ]


def _choices(before: Iterable[str], after: Iterable[str]) -> list[Difference]:
    old, new = list(before), list(after)
    gone = [line for line in old if line not in new]
    come = [line for line in new if line not in old]
    rows = []
    # "Accent colour: red" and "Accent colour: blue" are one change, not a removal and an addition.
    for line in gone:
        name, colon, value = line.partition(": ")
        match = next((other for other in come if colon and other.startswith(f"{name}: ")), None)
        if match:
            come.remove(match)
            rows.append(Difference(name, value, match.partition(": ")[2]))
        else:
            rows.append(Difference(_("Taken out"), line, ""))
    return rows + [Difference(_("Put in"), "", line) for line in come]


def _money(before: Evaluation, after: Evaluation) -> list[Difference]:
    old, new = before.price, after.price
    if old is None or new is None:
        return []
    pairs = [
        (_("Price, tax included"), old.total, new.total),
        (_("Deposit"), old.deposit, new.deposit),
    ]
    return [
        Difference(what, money(was, old.currency), money(now, new.currency))
        for what, was, now in pairs
        if (was, old.currency) != (now, new.currency)
    ]


def _time(before: Evaluation, after: Evaluation) -> list[Difference]:
    if before.work is None or after.work is None or before.work.bay_days == after.work.bay_days:
        return []
    words = [_("%(days)s working days") % {"days": work.bay_days} for work in (before.work, after.work)]
    return [Difference(_("In the workshop"), *words)]


def _fit(before: Evaluation, after: Evaluation) -> list[Difference]:
    names = {"front": _("Fit, front axle"), "rear": _("Fit, rear axle")}
    rows = []
    for position, name in names.items():
        old, new = before.fits.get(position), after.fits.get(position)
        was, now = (fit.headline if fit else "" for fit in (old, new))
        if was != now:
            rows.append(Difference(name, was, now))
    return rows
