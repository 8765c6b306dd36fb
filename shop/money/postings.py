"""Postings for bookkeeping: every invoice, credit note, payment, undone payment and paid refund as a row.

Two columns of amounts, tax included: ``receivable`` is the change in what customers owe, ``received`` the
change in the workshop's money. So over a job that is invoiced and settled the receivables add up to nothing,
and the money received to the price.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from itertools import chain
from typing import Any

from django.utils import timezone

from shop.jobs.models import Job

from .models import DepositRequest, Invoice, Payment, Refund

COLUMNS = (
    "date",
    "kind",
    "number",
    "job",
    "customer",
    "receivable",
    "received",
    "currency",
    "net",
    "tax_rate_pct",
    "tax",
    "rounding",
    "method",
    "reference",
    "text",
)
ZERO = Decimal("0.00")


def postings(start: date, end: date) -> list[tuple[Any, ...]]:
    """Return the rows of these days, both included, in the order of days, then of booking."""
    rows = chain(_invoices(start, end), _payments(start, end), _refunds(start, end))
    return [row for _day, row in sorted(rows, key=lambda found: found[0])]


Found = Iterator[tuple[tuple[date, Any], tuple[Any, ...]]]


def _invoices(start: date, end: date) -> Found:
    found = Invoice.objects.filter(issued_on__range=(start, end)).select_related("job", "corrects")
    for row in found:
        sign = 1 if row.kind == Invoice.Kind.INVOICE else -1
        text = row.corrects.number if row.corrects else ""
        yield (
            (row.issued_on, row.at),
            (
                row.issued_on, row.kind, row.number, row.job.number, row.content["buyer"]["name"],
                _signed(sign * row.gross), _signed(ZERO), row.currency, _signed(sign * row.net),
                row.tax_rate_pct, _signed(sign * row.tax), _signed(sign * row.rounding), "",
                row.content["reference"], text,
            ),
        )  # fmt: skip


def _payments(start: date, end: date) -> Found:
    """A payment counts on the day it came in; undoing it counts on the day it was undone."""
    rows = Payment.objects.filter(received_on__range=(start, end), undoes=None)
    undone = Payment.objects.filter(at__date__range=(start, end)).exclude(undoes=None)
    found = [*rows.select_related("job__revision"), *undone.select_related("job__revision")]
    requests = _requests({row.job_id for row in found})
    for row in found:
        day = row.received_on if row.undoes_id is None else timezone.localdate(row.at)
        kind = "payment" if row.undoes_id is None else "payment undone"
        yield (day, row.at), _moved(day, kind, row.job, row.amount, requests, str(row.method), row.note)


def _refunds(start: date, end: date) -> Found:
    found = list(Refund.objects.filter(paid_on__range=(start, end)).select_related("job__revision"))
    requests = _requests({row.job_id for row in found})
    for row in found:
        assert row.paid_on is not None  # noqa: S101 - the filter has seen to it
        moved = _moved(row.paid_on, "refund", row.job, -row.amount, requests, "", row.why)
        yield (row.paid_on, row.decided_at), moved


def _requests(jobs: set[int]) -> dict[int, DepositRequest]:
    found = DepositRequest.objects.filter(job__in=jobs, superseded_at=None)
    return {request.job_id: request for request in found}


def _moved(
    day: date,
    kind: str,
    job: Job,
    amount: Decimal,
    requests: dict[int, DepositRequest],
    method: str,
    text: str,
) -> tuple[Any, ...]:
    request = requests.get(job.pk)
    return (
        day, kind, "", job.number, job.revision.name, _signed(-amount), _signed(amount),
        request.currency if request else "", "", "", "", "", method,
        request.reference if request else "", text,
    )  # fmt: skip


def _signed(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"))
