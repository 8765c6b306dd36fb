"""Where a job's money stands, worked out anew from its rows in the plainest way there is."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from decimal import Decimal
from typing import Any

from shop.models import DepositRequest, Invoice, Job, Ledger, Payment, Reduction, Refund, Settlement
from shop.money.accounts import customer_account
from shop.money.postings import COLUMNS, postings

NOTHING = Decimal(0)
UNASKED = ("sent", "in_review", "waiting", "agreed")


def plainly(job: Job) -> dict[str, Decimal]:
    """Return price, what is asked, held, outstanding and over, each summed row by row."""
    price = deposit = NOTHING
    for request in DepositRequest.objects.filter(job=job):
        if request.superseded_at is None:
            price, deposit = request.total, request.amount
    for reduction in Reduction.objects.filter(job=job):
        price -= reduction.amount
    price = max(price, NOTHING)
    held = NOTHING
    for payment in Payment.objects.filter(job=job):
        held += payment.amount
    waiting = NOTHING
    for refund in Refund.objects.filter(job=job):
        if refund.withdrawn_at is None:
            held -= refund.amount
            waiting += NOTHING if refund.paid_on else refund.amount
    asked = min(deposit, price)
    if job.state in ("ready", "handed_over"):
        asked = price
    if job.state in ("declined", "cancelled"):
        asked = NOTHING
        for settlement in Settlement.objects.filter(job=job).order_by("pk"):
            asked = settlement.owed
    return {
        "price": price,
        "asked": asked,
        "held": held,
        "outstanding": asked - held if asked > held else NOTHING,
        "over": held - asked if held > asked else NOTHING,
        "to_pay_out": waiting,
    }


def kept(job: Job) -> dict[str, Decimal]:
    """Return the same figures as the ledger keeps them for lists."""
    ledger = Ledger.objects.get(job=job)
    return {name: getattr(ledger, name) for name in plainly(job)}


def check_books(*jobs: Job) -> None:
    """Hold the jobs' invoices, the export and the customers' accounts against the plain sums."""
    own = defaultdict(list)
    for row in postings(date.min, date.max):
        told = dict(zip(COLUMNS, row, strict=True))
        own[told["job"]].append(told)
    sums = {job.pk: plainly(job) for job in jobs}
    for job in jobs:
        _check_invoiced(job, sums[job.pk], own[job.number])
    for email in {job.revision.email for job in jobs} - {""}:
        _check_account(email, sums)


def _check_invoiced(job: Job, found: dict[str, Decimal], rows: list[dict[str, Any]]) -> None:
    stands = NOTHING
    for invoice in Invoice.objects.filter(job=job, kind="invoice"):
        left = invoice.gross - sum((note.gross for note in invoice.credits.all()), NOTHING)
        assert left >= 0, "no more is credited than was invoiced"
        assert invoice.gross == invoice.net + invoice.tax + invoice.rounding >= 0
        stands += left
    comes_to = found["asked"] if job.state in ("declined", "cancelled") else found["price"]
    assert stands in (NOTHING, comes_to), "what is invoiced is what the job comes to"
    received = sum((row["received"] for row in rows), NOTHING)
    assert received == found["held"] + found["to_pay_out"], "the export has what came in and what went back"
    assert sum((row["receivable"] for row in rows), NOTHING) == stands - received


def _check_account(email: str, sums: dict[int, dict[str, Decimal]]) -> None:
    told = customer_account(email)
    assert told is not None
    owed = NOTHING
    for job in told.jobs:
        found = sums.get(job.pk) or plainly(job)
        if job.state not in UNASKED or found["held"]:
            owed += found["asked"] - found["held"]
    assert told.balance == owed
