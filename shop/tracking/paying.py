"""What a job's customer is asked for and has paid, as their page tells it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from configurator.builds.evaluation import Evaluation
from shop.jobs.models import Job
from shop.jobs.states import BEFORE_THE_BAY, State
from shop.money.models import Refund
from shop.money.payment_code import payment_code
from shop.money.references import in_fours
from shop.money.refunds import RefundDue, refund_due
from shop.money.service import Account, account

from .shown import AFTER_AGREEING

# Before both have agreed there is nothing to pay, and the page says so.
ASKS_FOR_MONEY = frozenset({State.AGREED, State.DEPOSIT_DUE})


@dataclass(frozen=True)
class DepositView:
    """What the customer is asked for and has paid: the deposit, then the balance."""

    account: Account
    reference: str
    qr: str
    asks: bool
    in_advance: bool
    """Whether anything is asked for, or was paid, before the handover."""
    rest: Decimal
    refunds: list[Refund]
    back: RefundDue | None
    """What would go back and be kept, were the job called off now."""


def is_in_advance(evaluation: Evaluation, deposit: DepositView | None) -> bool:
    """Whether there is a deposit at all: of a small repair or a warranty visit none may be asked."""
    if deposit:
        return deposit.in_advance
    return evaluation.price is None or evaluation.price.deposit > 0


def deposit_view(job: Job) -> DepositView | None:
    """Return what the customer is asked for and has paid; nothing while money is no matter yet."""
    now = account(job)
    request = now.request
    owes = job.is_closed and now.outstanding > 0  # called off before anything was paid, after work was done
    if request is None or (job.state not in AFTER_AGREEING and not now.paid and not owes):
        return None
    refunds = list(job.refunds.filter(withdrawn_at=None))
    in_advance = bool(now.deposit or now.paid or refunds)
    if not in_advance and not now.price:
        return None
    # After a change more may be asked for in advance at any later state too.
    asks = now.outstanding > 0 and (job.state in ASKS_FOR_MONEY or now.is_asked)
    qr = payment_code(request, now.outstanding)[0] or "" if asks else ""
    rest = now.rest if now.covered and not now.is_balance else Decimal(0)
    back = refund_due(job) if job.state in BEFORE_THE_BAY else None
    return DepositView(now, in_fours(request.reference), qr, asks, in_advance, rest, refunds, back)
