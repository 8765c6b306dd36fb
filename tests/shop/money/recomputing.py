"""Where a job's money stands, worked out anew from its rows in the plainest way there is."""

from __future__ import annotations

from decimal import Decimal

from shop.models import DepositRequest, Job, Ledger, Payment, Reduction, Refund, Settlement

NOTHING = Decimal(0)


def plainly(job: Job) -> dict[str, Decimal]:
    """Return price, what is asked, held, outstanding and over, each summed row by row."""
    price = deposit = NOTHING
    for request in DepositRequest.objects.filter(job=job):
        if request.superseded_at is None:
            price, deposit = request.total, request.amount
    for reduction in Reduction.objects.filter(job=job):
        price -= reduction.amount
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
