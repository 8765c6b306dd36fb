"""What was asked, what came in, what went back: sums over the append-only rows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.roles import THE_SYSTEM, actor
from shop.jobs.states import ORDER, State

from .models import DepositRequest, Payment, Refund, StatementEntry

ZERO = Decimal("0.00")


class PaymentError(ValueError):
    """The payment cannot be booked; ``field`` names what is wrong, ``str(error)`` says it."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class Account:
    """A job's deposit as it stands. ``refunded`` counts every decided refund, paid out or not."""

    request: DepositRequest | None
    paid: Decimal
    refunded: Decimal
    today: date

    @property
    def asked(self) -> Decimal:
        """The amount of the request in force."""
        return self.request.amount if self.request else ZERO

    @property
    def held(self) -> Decimal:
        """What the workshop holds of the customer's money."""
        return self.paid - self.refunded

    @property
    def outstanding(self) -> Decimal:
        """What is still to come, never negative."""
        return max(ZERO, self.asked - self.held)

    @property
    def over(self) -> Decimal:
        """What came in beyond what was asked, never negative."""
        return max(ZERO, self.held - self.asked)

    @property
    def covered(self) -> bool:
        """Whether what was asked is there."""
        return self.request is not None and self.outstanding == 0

    @property
    def state(self) -> str:
        """One word for lists: none, overpaid, paid, part paid, overdue or open."""
        if self.request is None:
            return "none"
        if self.covered:
            return "overpaid" if self.over else "paid"
        if self.request.due_on < self.today:
            return "overdue"
        return "part paid" if self.held > 0 else "open"


def account(job: Job, today: date | None = None) -> Account:
    """Return where a job's deposit stands."""
    request = job.deposit_requests.filter(superseded_at__isnull=True).first()
    return Account(request, _sum(job.payments), _sum(job.refunds), today or timezone.localdate())


def _sum(rows: Any) -> Decimal:
    # Summed here and not by the database: SQLite adds decimals as binary fractions.
    return sum(rows.values_list("amount", flat=True), ZERO)


def deposit_is_covered(*, job: Job) -> bool:
    """Return whether what was paid covers the deposit asked for."""
    return account(job).covered


@transaction.atomic
def book_payment(
    *,
    job_id: int,
    amount: Decimal,
    received_on: date,
    method: str,
    by: Any,
    press: str = "",
    note: str = "",
    entry: StatementEntry | None = None,
) -> Payment:
    """Book money that came in and move the job on when its deposit is covered.

    ``press`` makes booking the same form twice one payment. Raises ``PaymentError`` for an amount that
    is not positive or a day to come.
    """
    if amount <= 0:
        raise PaymentError("Enter an amount above nothing.", "amount")
    if received_on > timezone.localdate():
        raise PaymentError("The day is still to come.", "received_on")
    job = jobs.locked(job_id)
    before = Payment.objects.filter(press=press).first() if press else None
    if before:
        return before
    payment = Payment.objects.create(
        job=job,
        amount=amount,
        received_on=received_on,
        method=method,
        by=by,
        press=press or None,
        note=note[:200],
        entry=entry,
    )
    jobs.record(job, actor(by or "system"), "money.payment_booked", amount=str(amount), method=method)
    settle(job=job)
    return payment


def settle(*, job: Job) -> bool:
    """Tell the job that its deposit is covered, if it is; return whether that was news."""
    now = account(job)
    if not now.covered or job.state not in ORDER[: ORDER.index(State.DEPOSIT_IN)]:
        return False
    return jobs.deposit_received(job_id=job.pk, by=THE_SYSTEM, data={"paid": str(now.held)})


@transaction.atomic
def undo_payment(
    *, payment_id: int, by: Any, note: str, entry: StatementEntry | None = None, on: date | None = None
) -> Payment:
    """Undo a payment with a row of the opposite amount; undoing it twice does it once.

    ``entry`` is the movement that took the money back and ``on`` its day; without them the undoing stands
    beside the payment, on its day.
    A job that has moved on stays where it is: parts may be on order, so a person decides what follows.
    """
    payment = Payment.objects.select_for_update().get(pk=payment_id)
    if payment.amount < 0:
        raise PaymentError("That row undoes another one already.")
    undone, made = Payment.objects.get_or_create(
        undoes=payment,
        defaults={
            "job": payment.job,
            "amount": -payment.amount,
            "method": payment.method,
            "received_on": on or payment.received_on,
            "entry": entry or payment.entry,
            "by": by,
            "note": note[:200],
        },
    )
    if made:
        amount = str(payment.amount)
        jobs.record(payment.job, actor(by or "system"), "money.payment_undone", why=note, amount=amount)
    return undone


def waiting_refunds() -> Any:
    """Return decided refunds that have not been paid out."""
    return Refund.objects.filter(paid_on__isnull=True).select_related("job")
