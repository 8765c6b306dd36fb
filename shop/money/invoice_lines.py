"""What an invoice names and asks for, worded in the language that is active: the customer's."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from configurator.pages.told import quantity, told
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job
from shop.jobs.said import in_words

from .account import CALLED_OFF, ZERO, Account
from .ledger import PaymentError
from .tax import Line


def lines_of(job: Job, now: Account) -> list[Line]:
    """Return what the customer pays for: a line a choice as agreed, or what is owed for a job called off.

    Raises ``PaymentError`` for a job without a price.
    """
    if job.state in CALLED_OFF:
        return _owed(job, now)
    evaluation = evaluation_of(job.revision)
    if evaluation.price is None:
        raise PaymentError(_("The job has no price."))
    parts: dict[str, list[str]] = {}
    for part in evaluation.parts:
        if part.at_cost_of == "customer" and part.for_choices:
            said = f"{quantity(part.quantity, part.unit)} {told(part.name)}"
            parts.setdefault(part.for_choices[0], []).append(said)
    rows = evaluation.price.lines
    return [Line(told(row.label), "; ".join(parts.get(row.choice, [])), row.amount) for row in rows]


def _owed(job: Job, now: Account) -> list[Line]:
    settled = job.settlements.last()
    kept = settled.lines if settled else []
    lines = [Line(in_words(label, job), "", Decimal(amount)) for label, amount in kept]
    if sum((line.gross for line in lines), ZERO) == now.owed:
        return lines
    why = in_words(settled.said or settled.why, job) if settled else ""
    return [Line(_("Owed for the job that was called off"), why, now.owed)]


def reductions_of(job: Job, now: Account) -> list[Line]:
    """Return what was taken off the price; nothing for a job that was called off."""
    if job.state in CALLED_OFF:
        return []
    # A change may have left less than was taken off: the invoice never goes below nothing.
    left = now.request.total if now.request else ZERO
    found = []
    for row in job.reductions.all():
        if taken := min(row.amount, left):
            found.append(Line(row.why, "", taken))
            left -= taken
    return found
