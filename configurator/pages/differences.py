"""Differences between two evaluations in the reader's words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from configurator.builds import comparing
from configurator.builds.comparing import Difference

from .told import money, told, verdict_word

WHAT = {
    "vehicle": _("Vehicle"),
    comparing.BODY: _("Body colour"),
    comparing.ACCENT: _("Accent colour"),
    comparing.TOTAL: _("Price, tax included"),
    comparing.DEPOSIT: _("Deposit"),
    comparing.DAYS: _("In the workshop"),
    comparing.VERDICT: _("Fit"),
}
PARTS = {
    ("wheel", "both"): _("Wheels"),
    ("wheel", "front"): _("Front wheels"),
    ("wheel", "rear"): _("Rear wheels"),
    ("tyre", "both"): _("Tyres"),
    ("tyre", "front"): _("Front tyres"),
    ("tyre", "rear"): _("Rear tyres"),
    ("spacer", "both"): _("Spacers"),
    ("spacer", "front"): _("Front spacers"),
    ("spacer", "rear"): _("Rear spacers"),
}


@dataclass(frozen=True)
class Row:
    """One difference in words; an empty side has nothing there."""

    what: str
    before: str
    after: str


def rows(differences: Iterable[Difference], currency: str = "EUR") -> list[Row]:
    """Return differences in words; those that are no customer's matter are left out."""
    return [row for one in differences if (row := _row(one, currency))]


def _row(one: Difference, currency: str) -> Row | None:
    before, after = (_value(one.what, value, currency) for value in (one.before, one.after))
    if one.what == comparing.OPTION:
        what = _("Changed") if before and after else _("Put in") if after else _("Taken out")
        return Row(str(what), before, after)
    name = WHAT.get(one.what) or PARTS.get((one.what, one.place))
    return Row(str(name), before, after) if name else None


def _value(what: str, value: comparing.Value, currency: str) -> str:
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return money(value, currency)
    if what == comparing.DAYS and isinstance(value, int):
        return ngettext("%(days)s day", "%(days)s days", value) % {"days": value}
    return verdict_word(str(value)) if what == comparing.VERDICT else told(str(value))
