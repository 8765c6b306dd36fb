"""What goes back when a job is declined or called off: the policy, the decision, the payout.

Policy: the whole deposit when the workshop declines or nothing was bought yet; otherwise all but the
price of parts that were ordered for the job and that the supplier does not take back, and of material
already used. Never more than was paid, never less than nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from configurator.builds.money import rounded
from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.roles import actor
from shop.jobs.states import State

from .ledger import ZERO, PaymentError, account
from .models import Refund, StatementEntry


@dataclass(frozen=True)
class RefundDue:
    """What the policy comes to; ``kept_for`` lists what the workshop keeps money for."""

    held: Decimal
    kept: Decimal
    kept_for: tuple[str, ...]
    why: str

    @property
    def amount(self) -> Decimal:
        """What goes back."""
        return self.held - self.kept


def refund_due(job: Job) -> RefundDue:
    """Return what the policy gives back of what is held for the job."""
    held = max(ZERO, account(job).held)
    if job.state == State.DECLINED:
        return RefundDue(held, ZERO, (), "The workshop declined the job, so everything paid goes back.")
    kept_for, cost = _kept_for(job)
    if not kept_for:
        return RefundDue(
            held, ZERO, (), "Nothing that cannot be sent back was bought, so everything goes back."
        )
    return RefundDue(
        held,
        min(held, cost),
        kept_for,
        "The price of parts ordered or used for this job that cannot be sent back is kept; "
        "the rest goes back.",
    )


def _kept_for(job: Job) -> tuple[tuple[str, ...], Decimal]:
    """Return what was bought for the job and cannot go back, in words and at the agreed price."""
    names, cost = [], ZERO
    for part in job.parts.prefetch_related("orders__line"):
        if part.at_cost_of != "customer":
            continue
        ordered = sum((row.quantity for row in part.orders.all() if _stands(row.line)), Decimal(0))
        bought = min(part.quantity, ordered) if not part.returnable else Decimal(0)
        quantity = max(bought, part.issued)
        if quantity > 0:
            amount = rounded(quantity * part.unit_price)
            names.append(f"{quantity.normalize():f} {part.unit} {part.name}: {amount}")
            cost += amount
    return tuple(names), cost


def _stands(line: Any) -> bool:
    """Whether an order line still binds the workshop: a line that is not coming does not."""
    return not line.not_coming or line.received > 0


@transaction.atomic
def decide_refund(*, job_id: int, amount: Decimal, why: str, by: Any, press: str) -> Refund:
    """Record what goes back and why; ``press`` makes deciding twice one refund.

    Raises ``PaymentError`` when more is to go back than is held, or without a reason.
    """
    job = jobs.locked(job_id)
    before = Refund.objects.filter(press=press).first()
    if before:
        return before
    held = account(job).held
    if not why.strip():
        raise PaymentError("Say why this amount goes back.", "why")
    if amount <= 0:
        raise PaymentError("Enter an amount above nothing.", "amount")
    if amount > held:
        raise PaymentError(f"Only {held} is held for this job.", "amount")
    refund = Refund.objects.create(
        job=job, amount=amount, kept=held - amount, why=why.strip(), press=press, decided_by=by
    )
    jobs.record(job, actor(by), "money.refund_decided", why=why.strip(), amount=str(amount))
    jobs.promise_mail(job, "refund", refund.pk)
    return refund


@transaction.atomic
def mark_refund_paid(
    *, refund_id: int, paid_on: date, by: Any, entry: StatementEntry | None = None
) -> Refund:
    """Record the day the money left; the first day stands."""
    refund = Refund.objects.select_for_update().get(pk=refund_id)
    if refund.paid_on:
        return refund
    if paid_on > timezone.localdate():
        raise PaymentError("The day is still to come.", "paid_on")
    refund.paid_on, refund.entry = paid_on, entry
    refund.save(update_fields=["paid_on", "entry"])
    jobs.record(refund.job, actor(by), "money.refund_paid", amount=str(refund.amount))
    return refund
