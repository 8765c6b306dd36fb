"""What is owed when a job is declined or called off, what goes back, the decision and the payout.

Policy: nothing is owed when the workshop declines or nothing was bought yet; otherwise the price of parts
that were ordered for the job and that the supplier does not take back, of material already used, and of
the work that was done. Never more than the price of the whole job.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from configurator.builds.money import rounded
from shop.jobs import service as jobs
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job
from shop.jobs.roles import actor
from shop.jobs.states import State

from .account import CALLED_OFF, ZERO, account
from .ledger import PaymentError, refresh, take_back
from .models import Refund, Settlement, StatementEntry


@dataclass(frozen=True)
class RefundDue:
    """What the policy comes to; ``lines`` names what is owed for, ``kept_for`` the same in one text each."""

    held: Decimal
    owed: Decimal
    lines: tuple[tuple[str, Decimal], ...]
    why: str

    @property
    def kept(self) -> Decimal:
        """What the workshop keeps of what it holds."""
        return min(self.held, self.owed)

    @property
    def amount(self) -> Decimal:
        """What goes back."""
        return self.held - self.kept

    @property
    def still_owed(self) -> Decimal:
        """What the customer owes beyond what is held."""
        return self.owed - self.kept

    @property
    def kept_for(self) -> tuple[str, ...]:
        """What is owed for, each in one text."""
        return tuple(f"{label}: {amount}" for label, amount in self.lines)


def refund_due(job: Job) -> RefundDue:
    """Return what the policy keeps and gives back, were the job off now; a decision already made stands."""
    now = account(job)
    held = max(ZERO, now.held)
    settled = job.settlements.last()
    if settled and job.state in CALLED_OFF:
        lines = tuple((str(label), Decimal(amount)) for label, amount in settled.lines)
        return RefundDue(held, settled.owed, lines, settled.why)
    if job.state == State.DECLINED:
        return RefundDue(held, ZERO, (), _("The workshop declined the job, so everything paid goes back."))
    lines = (*_parts_owed(job), *_work_owed(job))
    if not lines:
        why = _("Nothing that cannot be sent back was bought, so everything goes back.")
        return RefundDue(held, ZERO, (), why)
    owed = min(now.price, sum((amount for _label, amount in lines), ZERO))
    why = _(
        "The price of parts ordered or used for this job that cannot be sent back, and of work already "
        "done, is kept; the rest goes back."
    )
    return RefundDue(held, owed, lines, why)


def _parts_owed(job: Job) -> tuple[tuple[str, Decimal], ...]:
    """Return what was bought for the job and cannot go back, at the agreed price."""
    # Parts are handed out when the work starts; those of work that was not begun go back onto the shelf.
    steps = job.operations.filter(is_skipped=False).exclude(done_at=None).exclude(stage="book-in")
    begun = {choice for choices in steps.values_list("for_choices", flat=True) for choice in choices}
    found = []
    for part in job.parts.prefetch_related("orders__line"):
        if part.at_cost_of != "customer":
            continue
        ordered = sum((_bought(row) for row in part.orders.all()), Decimal(0))
        bought = min(part.quantity, ordered) if not part.returnable else Decimal(0)
        quantity = max(bought, part.issued if begun & set(part.for_choices) else Decimal(0))
        if quantity > 0:
            label = f"{quantity.normalize():f} {part.unit} {part.name}"
            found.append((label, rounded(quantity * part.unit_price)))
    return tuple(found)


def _bought(row: Any) -> Decimal:
    """Return how much of an order for the job binds the workshop: of a line that ended, what came."""
    quantity: Decimal = row.quantity
    return min(quantity, row.line.received) if row.line.not_coming else quantity


def _work_owed(job: Job) -> tuple[tuple[str, Decimal], ...]:
    """Return the agreed price of the steps that were done, by their share of the hands-on hours."""
    evaluation = evaluation_of(job.revision)
    if not evaluation.price or not evaluation.work or not evaluation.work.hands_on_h:
        return ()
    hours = sum(
        job.operations.filter(is_skipped=False).exclude(done_at=None).values_list("hands_on_h", flat=True)
    )
    share = Decimal(repr(hours)) / Decimal(repr(evaluation.work.hands_on_h))
    amount = rounded(evaluation.price.labour * min(Decimal(1), share))
    if not amount:
        return ()
    return ((_("Work done, %(hours)s hours") % {"hours": f"{hours:g}"}, amount),)


@transaction.atomic
def settle_called_off(*, job: Job) -> Settlement:
    """Write down what the policy comes to when a job is declined or called off, once."""
    known = job.settlements.last()
    if known:
        return known
    # The customer reads why, in the mail of the refund and on their page.
    with translation.override(job.revision.language or settings.LANGUAGE_CODE):
        due = refund_due(job)
    return _settled(job, due.owed, due.why, lines=due.lines)


def _settled(
    job: Job,
    owed: Decimal,
    why: str,
    *,
    lines: tuple[tuple[str, Decimal], ...],
    by: Any = None,
    press: str = "",
) -> Settlement:
    made = Settlement.objects.create(
        job=job,
        owed=owed,
        lines=[[label, str(amount)] for label, amount in lines],
        why=why,
        by=by,
        press=press or None,
    )
    refresh(job)
    return made


@transaction.atomic
def decide_owed(*, job_id: int, owed: Decimal, why: str, by: Any, press: str) -> Settlement:
    """Decide what the customer owes for a job that was called off, in place of what the policy came to.

    ``press`` makes deciding twice one decision. Raises ``PaymentError``.
    """
    job = jobs.locked(job_id)
    before = Settlement.objects.filter(press=press).first()
    if before:
        if (before.job_id, before.owed, before.why) != (job_id, owed, why.strip()):
            raise PaymentError(_repeated(before.owed))
        return before
    if job.state not in CALLED_OFF:
        raise PaymentError(_("What is owed is decided once the job is declined or called off."))
    if not why.strip():
        raise PaymentError(_("Say why this is owed."), "why")
    if not ZERO <= owed <= account(job).price:
        raise PaymentError(_("From nothing to the price of the whole job."), "owed")
    jobs.record(job, actor(by), "money.owed_decided", why=why.strip(), amount=str(owed))
    return _settled(job, owed, why.strip(), lines=((why.strip()[:200], owed),), by=by, press=press)


def _repeated(amount: Decimal) -> str:
    return _(
        "This form has already been sent, with %(amount)s. Nothing was changed now. Open the page anew."
    ) % {"amount": f"{amount:.2f}"}


@transaction.atomic
def decide_refund(*, job_id: int, amount: Decimal, why: str, by: Any, press: str) -> Refund:
    """Record what goes back and why; ``press`` makes deciding twice one refund.

    When the job is off, what is kept of what was held is what the customer owes from then on. Raises
    ``PaymentError`` when more is to go back than is held, without a reason, or for a used key with other
    content.
    """
    job = jobs.locked(job_id)
    before = Refund.objects.filter(press=press).first()
    if before:
        if (before.job_id, before.amount, before.why) != (job_id, amount, why.strip()):
            raise PaymentError(_repeated(before.amount))
        return before
    held = account(job).held
    if not why.strip():
        raise PaymentError(_("Say why this amount goes back."), "why")
    if amount <= 0:
        raise PaymentError(_("Enter an amount above nothing."), "amount")
    if amount > held:
        raise PaymentError(_("Only %(held)s is held for this job.") % {"held": f"{held:.2f}"}, "amount")
    refund = Refund.objects.create(
        job=job, amount=amount, kept=held - amount, why=why.strip(), press=press, decided_by=by
    )
    jobs.record(job, actor(by), "money.refund_decided", why=why.strip(), amount=str(amount))
    jobs.promise_mail(job, "refund", refund.pk)
    due = refund_due(job)
    if job.state in CALLED_OFF and due.owed > refund.kept:
        _settled(job, refund.kept, why.strip(), lines=((why.strip()[:200], refund.kept),), by=by)
    take_back(job, refresh(job), why.strip())
    return refund


@transaction.atomic
def mark_refund_paid(
    *, refund_id: int, paid_on: date, by: Any, entry: StatementEntry | None = None
) -> Refund:
    """Record the day the money left; the first day stands."""
    job = jobs.locked(Refund.objects.values_list("job", flat=True).get(pk=refund_id))
    refund = Refund.objects.select_for_update().get(pk=refund_id)
    if refund.paid_on:
        return refund
    if refund.withdrawn_at:
        raise PaymentError(_("This refund was withdrawn."))
    if paid_on > timezone.localdate():
        raise PaymentError(_("The day is still to come."), "paid_on")
    refund.paid_on, refund.entry = paid_on, entry
    refund.save(update_fields=["paid_on", "entry"])
    jobs.record(job, actor(by), "money.refund_paid", amount=str(refund.amount))
    refresh(job)
    return refund
