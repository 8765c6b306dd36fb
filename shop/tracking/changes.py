"""What differs between two revisions of one build, in plain words and from what was frozen alone."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from configurator.builds import comparing
from configurator.builds.evaluation import Evaluation
from configurator.catalogue.workshop import DEFAULT_CURRENCY
from configurator.pages.differences import Row as Difference
from configurator.pages.differences import rows
from configurator.pages.told import told

__all__ = ["Difference", "differences"]


def differences(before: Evaluation, after: Evaluation) -> list[Difference]:
    """Return what was taken out, put in and changed: choices first, then price, deposit, time, fit."""
    found = comparing.compare(before, after)
    currency = after.price.currency if after.price else DEFAULT_CURRENCY
    sums = [row for row in found if row.what in (comparing.TOTAL, comparing.DEPOSIT, comparing.DAYS)]
    told_sums = rows((row for row in sums if None not in (row.before, row.after)), currency)
    return [*rows(comparing.choices(found)), *told_sums, *_fit(found)]


def _fit(found: list[comparing.Difference]) -> Iterator[Difference]:
    names = {"front": _("Fit, front axle"), "rear": _("Fit, rear axle")}
    for row in found:
        if row.what == comparing.HEADLINE:
            yield Difference(names[row.place], *(told(str(side or "")) for side in (row.before, row.after)))
