"""Sentences that the program itself keeps with a job: an id with figures, worded for whoever reads them.

What a person typed is kept as they typed it. ``say`` makes the values that rows keep as JSON; figures named
``..._day`` are ISO days, ``amount`` is (quantity, unit), ``money`` (amount, currency), ``part`` a text copied
from the job's build, and a list holds further sentences.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.formats import date_format
from django.utils.text import Truncator
from django.utils.translation import gettext_lazy as _

from configurator.pages.told import money, quantity

from .evaluations import copied
from .models import Job
from .models_history import HistoryEntry

Kept = dict[str, Any]
PARTS_SHORT, DEPOSIT_GONE, MORE_DEPOSIT = "parts_short", "deposit_gone", "more_deposit"
SENTENCES = {
    PARTS_SHORT: _("Parts short: %(lines)s"),
    "not_as_ordered": _("%(amount)s %(part)s will not come as ordered"),
    "not_ordered": _("%(amount)s %(part)s not ordered, needed %(needed_day)s"),
    "late": _("%(amount)s %(part)s on %(order)s, needed %(needed_day)s"),
    "told_late": _("%(amount)s %(part)s on %(order)s, needed %(needed_day)s, comes %(told_day)s"),
    DEPOSIT_GONE: _("Deposit gone: %(lines)s"),
    MORE_DEPOSIT: _("More deposit is asked for after a change: %(money)s"),
    "vehicle_here": _("the vehicle is here"),
    "orders_in_question": _("in question: %(orders)s"),
    "bounced": _("the payment bounced"),
    "please_look": _("Please look at revision %(revision)s."),
    "not_mailed": _("The customer was not told by mail."),
    "declined_all_back": _("The workshop declined the job, so everything paid goes back."),
    "nothing_bought": _("Nothing that cannot be sent back was bought, so everything goes back."),
    "bought_and_done": _(
        "The price of parts ordered or used for this job that cannot be sent back, and of work already "
        "done, is kept; the rest goes back."
    ),
    "part_owed": _("%(amount)s %(part)s"),
    "work_owed": _("Work done, %(hours)s hours"),
    "not_paid": _("%(money)s of the price has not been paid."),
    "no_reason_needed": _("No reason was given; the terms ask for none."),
    "as_it_was": "%(text)s",
}


def say(sentence: str, **figures: Any) -> Kept:
    """Return a sentence as JSON can keep it."""
    return {"id": sentence, "figures": figures}


def worded(kept: Kept, job: Job | None = None) -> str:
    """Return a kept sentence in the reader's language; one that nobody knows, or half a one, says its id.

    Without the job the names of parts stay as they were kept.
    """
    name, figures = str(kept.get("id", "")), kept.get("figures", {})
    try:
        return str(SENTENCES[name]) % _shown(figures, job)
    except (LookupError, ArithmeticError, ValueError, TypeError):
        return name


def _shown(figures: Mapping[str, Any], job: Job | None) -> dict[str, str]:
    return {key: _figure(key, value, job) for key, value in figures.items()}


def _figure(key: str, value: Any, job: Job | None) -> str:
    if key == "amount":
        return quantity(Decimal(value[0]), value[1])
    if key == "money":
        return money(Decimal(value[0]), value[1])
    if key == "part":
        return copied(job, value) if job else str(value)
    if key.endswith("_day"):
        return date_format(date.fromisoformat(value), "j M")
    if isinstance(value, list):
        return "; ".join(worded(one, job) if isinstance(one, dict) else str(one) for one in value)
    return str(value)


def in_words(said: Kept | str, job: Job) -> str:
    """Return what was kept: a person's own words, or a sentence of the program in the reader's language."""
    return worded(said, job) if isinstance(said, dict) else said


def warnings_of(entry: HistoryEntry) -> list[str]:
    """Return what somebody was warned of and did all the same; older entries kept the sentence."""
    return [in_words(one, entry.job) for one in entry.data.get("warnings", [])]


def hold_of(job: Job) -> str:
    """Return what the job is held up by, in the reader's language; nothing when nothing does."""
    return in_words(say(job.hold_id, **job.hold_figures) if job.hold_id else job.on_hold_reason, job)


def why_of(entry: HistoryEntry) -> str:
    """Return why an entry of the history came about: a person's own words, or the program's."""
    return entry.why or in_words(entry.data.get("said", ""), entry.job)


def hold_in_short(job: Job) -> str:
    """Return what the job is held up by, for a list: 160 characters at most. The job's page has it whole."""
    return Truncator(hold_of(job)).chars(160)
