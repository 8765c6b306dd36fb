"""What letters tell of money, as far as the job has any."""

from __future__ import annotations

from decimal import Decimal

from configurator.catalogue import workshop
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job
from shop.money.references import in_fours
from shop.money.service import account

from .letters import Deposit
from .words import day


def deposit_of(job: Job) -> Deposit | None:
    """Return what is asked for and what has come in for it, if anything is."""
    now = account(job)
    request = now.request
    if request is None:
        return None
    priced = evaluation_of(job.revision).price
    return Deposit(
        amount=now.deposit,
        currency=request.currency,
        reference=in_fours(request.reference),
        due=day(now.due_on) if now.due_on and not now.is_balance else "",
        payee=request.pay_to["name"],
        iban=request.pay_to["iban"],
        bic=request.pay_to["bic"],
        paid=now.held,
        outstanding=now.outstanding,
        price=now.price,
        tax_rate_pct=priced.tax_rate_pct if priced else Decimal(0),
        is_more=not now.is_balance and 0 < now.held < now.deposit,
    )


def held_of(job: Job) -> tuple[Decimal, str] | None:
    """Return what the workshop holds of the customer's money, and its currency."""
    now = account(job)
    return (now.held, now.request.currency) if now.request and now.held > 0 else None


def refund_of(job: Job, refund_id: int) -> tuple[Decimal, Decimal, str]:
    """Return what goes back by one decision, what is kept, and the currency."""
    refund = job.refunds.get(pk=refund_id)
    request = account(job).request
    return refund.amount, refund.kept, request.currency if request else workshop.currency()
