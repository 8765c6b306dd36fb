"""Where a job's money stands: one formula, from the price to what is still to come.

Every page, paper, mail and figure asks here, or reads the row that ``ledger.refresh`` keeps of the same
answer for lists. Amounts are Decimal in the workshop's currency.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from shop.jobs.models import Job
from shop.jobs.states import CLOSED, ORDER, State

from .models import DepositRequest, Invoice

ZERO = Decimal("0.00")
CALLED_OFF = frozenset({State.DECLINED, State.CANCELLED})
IN_FULL = frozenset({State.READY, State.HANDED_OVER})
ASKED = frozenset(ORDER[ORDER.index(State.DEPOSIT_DUE) :])


@dataclass(frozen=True)
class Account:
    """A job's money as it stands.

    ``price`` is what the whole job costs, reductions taken off, tax included; never below nothing. ``owed``
    is what the customer owes for a job that was called off. ``refunded`` counts every decided refund, paid
    out or not.
    """

    request: DepositRequest | None
    job_state: str
    price: Decimal
    owed: Decimal
    paid: Decimal
    refunded: Decimal
    since: date
    today: date

    @property
    def deposit(self) -> Decimal:
        """The deposit asked for; never more than the price."""
        return min(self.request.amount, self.price) if self.request else ZERO

    @property
    def asked(self) -> Decimal:
        """What should be here by now: the deposit, from ready on the whole price, called off what is owed."""
        if self.job_state in CALLED_OFF:
            return self.owed
        return self.price if self.job_state in IN_FULL else self.deposit

    @property
    def held(self) -> Decimal:
        """What the workshop holds of the customer's money; below nothing when paid-out money bounced."""
        return self.paid - self.refunded

    @property
    def outstanding(self) -> Decimal:
        """What is still to come of what is asked, never negative."""
        return max(ZERO, self.asked - self.held)

    @property
    def over(self) -> Decimal:
        """What came in beyond what is asked, never negative."""
        return max(ZERO, self.held - self.asked)

    @property
    def rest(self) -> Decimal:
        """What is still to come of the whole price, never negative."""
        return ZERO if self.job_state in CALLED_OFF else max(ZERO, self.price - self.held)

    @property
    def covered(self) -> bool:
        """Whether the deposit is there."""
        return self.request is not None and self.held >= self.deposit

    @property
    def is_asked(self) -> bool:
        """Whether the customer has been asked to pay: from deposit due on, and when something is owed."""
        return self.job_state in ASKED or self.job_state in CALLED_OFF

    @property
    def is_balance(self) -> bool:
        """Whether the whole price is asked for, and not the deposit."""
        return self.job_state in IN_FULL

    @property
    def due_on(self) -> date | None:
        """The day by which what is still to come should be here; a balance is due when it is asked for."""
        if self.request is None or not self.outstanding:
            return None
        return self.since if self.is_balance or self.job_state in CALLED_OFF else self.request.due_on

    @property
    def is_overdue(self) -> bool:
        """Whether that day has passed; a balance is not late before the vehicle is handed over."""
        due = self.due_on
        return due is not None and due < self.today and self.job_state != State.READY

    @property
    def state(self) -> str:
        """One word for lists: none, overpaid, paid, part paid, overdue or open."""
        if self.request is None:
            return "none"
        if not self.outstanding:
            return "overpaid" if self.over else "paid"
        if self.is_overdue:
            return "overdue"
        return "part paid" if self.held > 0 else "open"

    @property
    def is_open(self) -> bool:
        """Whether someone should see it in the list of money: asked or held, and not settled for good."""
        if self.job_state in CLOSED:
            return bool(self.outstanding or self.over)
        return self.request is not None and (self.is_asked or self.held != 0)


def account(job: Job, today: date | None = None) -> Account:
    """Return where a job's money stands, added up from its rows."""
    request = job.deposit_requests.filter(superseded_at__isnull=True).first()
    settled = job.settlements.last()
    return Account(
        request=request,
        job_state=job.state,
        price=price_of(request, added(job.reductions)),
        owed=settled.owed if settled else ZERO,
        paid=added(job.payments),
        refunded=added(job.refunds.filter(withdrawn_at=None)),
        since=timezone.localdate(job.state_since),
        today=today or timezone.localdate(),
    )


def price_of(request: DepositRequest | None, reduced: Decimal) -> Decimal:
    """Return what a job costs: a change that takes work off can leave less than was taken off the price."""
    return max(ZERO, (request.total if request else ZERO) - reduced)


def standing(job: Job) -> Invoice | None:
    """Return the job's invoice that no credit note has taken back as a whole."""
    found = job.invoices.filter(kind=Invoice.Kind.INVOICE).prefetch_related("credits").order_by("-pk")
    return next((invoice for invoice in found if invoice.left > 0 or not invoice.credits.all()), None)


def added(rows: Any) -> Decimal:
    """Return the sum of the rows' amounts, added here: SQLite adds decimals as binary fractions."""
    return sum(rows.values_list("amount", flat=True), ZERO)
