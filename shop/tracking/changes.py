"""What differs between two revisions of one build, in plain words and from what was frozen alone."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from configurator.builds.evaluation import ColourChoice, Evaluation
from configurator.pages.told import told
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
        *_choices(before, after),
        *_money(before, after),
        *_time(before, after),
        *_fit(before, after),
    ]


def _choices(before: Evaluation, after: Evaluation) -> list[Difference]:
    return [*_colours(before, after), *_axles(before, after), *_options(before, after)]


def _row(what: str, old: str, new: str) -> list[Difference]:
    return [Difference(what, told(old), told(new))] if old != new else []


def _colours(before: Evaluation, after: Evaluation) -> list[Difference]:
    def name(colour: ColourChoice | None) -> str:
        return colour.name if colour else ""

    return [
        *_row(_("Body colour"), name(before.body), name(after.body)),
        *_row(_("Accent colour"), name(before.accent), name(after.accent)),
    ]


def _axles(before: Evaluation, after: Evaluation) -> list[Difference]:
    words = {
        "front-wheel": _("Front wheels"),
        "front-tyre": _("Front tyres"),
        "front-spacer": _("Front spacers"),
        "rear-wheel": _("Rear wheels"),
        "rear-tyre": _("Rear tyres"),
        "rear-spacer": _("Rear spacers"),
    }

    def name(found: Evaluation, place: str) -> str:
        position, part = place.split("-")
        code = getattr(found.selection.axle(position), part) or ""
        return found.names.get(f"{place}:{code}", found.names.get(code, code))

    return [
        row for place, what in words.items() for row in _row(what, name(before, place), name(after, place))
    ]


def _options(before: Evaluation, after: Evaluation) -> list[Difference]:
    rows = []
    for code in dict.fromkeys([*before.selection.options, *after.selection.options]):
        old, new = (
            found.names.get(code, code) if code in found.selection.options else ""
            for found in (before, after)
        )
        what = _("Changed") if old and new else _("Put in") if new else _("Taken out")
        rows += _row(what, old, new)
    return rows


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
        was, now = (told(fit.headline) if fit else "" for fit in (old, new))
        if was != now:
            rows.append(Difference(name, was, now))
    return rows
