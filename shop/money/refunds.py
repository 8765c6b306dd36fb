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

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from configurator.builds.money import rounded
from shop.jobs import service as jobs
from shop.jobs.evaluations import evaluation_of
from shop.jobs.models import Job
from shop.jobs.roles import actor
from shop.jobs.said import Kept, in_words, say
from shop.jobs.states import State

from .account import CALLED_OFF, ZERO, account
from .invoices import credit_if_other
from .ledger import PaymentError, check_day, refresh
from .models import Refund, Settlement, StatementEntry
from .pressing import made_before
from .undoing import take_back


@dataclass(frozen=True)
class RefundDue:
    """What the policy comes to, or what a person decided in its place; words are in the reader's language.

    ``owed_for`` keeps what is owed for, each a sentence or what a person typed, with its amount.
    """

    job: Job
    held: Decimal
    owed: Decimal
    owed_for: tuple[tuple[Kept | str, Decimal], ...] = ()
    said: Kept | str = ""

    @property
    def lines(self) -> tuple[tuple[str, Decimal], ...]:
        """What is owed for, in words, with its amount."""
        return tuple((in_words(what, self.job), amount) for what, amount in self.owed_for)

    @property
    def why(self) -> str:
        """Why so, in words."""
        return in_words(self.said, self.job)

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


def refund_due(job: Job) -> RefundDue:
    """Return what the policy keeps and gives back, were the job off now; a decision already made stands."""
    now = account(job)
    held = max(ZERO, now.held)
    settled = job.settlements.last()
    if settled and job.state in CALLED_OFF:
        lines = tuple((label, Decimal(amount)) for label, amount in settled.lines)
        return RefundDue(job, held, settled.owed, lines, settled.said or settled.why)
    if job.state == State.DECLINED:
        return RefundDue(job, held, ZERO, said=say("declined_all_back"))
    lines = (*_parts_owed(job), *_work_owed(job))
    if not lines:
        return RefundDue(job, held, ZERO, said=say("nothing_bought"))
    owed = min(now.price, sum((amount for _label, amount in lines), ZERO))
    return RefundDue(job, held, owed, lines, say("bought_and_done"))


def _parts_owed(job: Job) -> tuple[tuple[Kept, Decimal], ...]:
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
            amount = [f"{quantity.normalize():f}", part.unit]
            label = say("part_owed", amount=amount, part=part.name)
            found.append((label, rounded(quantity * part.unit_price)))
    return tuple(found)


def _bought(row: Any) -> Decimal:
    """Return how much of an order for the job binds the workshop: of a line that ended, what came."""
    quantity: Decimal = row.quantity
    return min(quantity, row.line.binding)


def _work_owed(job: Job) -> tuple[tuple[Kept, Decimal], ...]:
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
    return ((say("work_owed", hours=f"{hours:g}"), amount),)


@transaction.atomic
def settle_called_off(*, job: Job) -> Settlement:
    """Write down what the policy comes to when a job is declined or called off, once."""
    known = job.settlements.last()
    if known:
        return known
    due = refund_due(job)
    return _settled(job, due.owed, due.said, lines=due.owed_for)


def _settled(
    job: Job,
    owed: Decimal,
    why: Kept | str,
    *,
    lines: tuple[tuple[Kept | str, Decimal], ...],
    by: Any = None,
    press: str = "",
) -> Settlement:
    made = Settlement.objects.create(
        job=job,
        owed=owed,
        lines=[[label, str(amount)] for label, amount in lines],
        why=why if isinstance(why, str) else "",
        said=why if isinstance(why, dict) else {},
        by=by,
        press=press or None,
    )
    credit_if_other(job, refresh(job), gettext_lazy("The job was called off."))
    return made


@transaction.atomic
def decide_owed(*, job_id: int, owed: Decimal, why: str, by: Any, press: str) -> Settlement:
    """Decide what the customer owes for a job that was called off, in place of what the policy came to.

    ``press`` makes deciding twice one decision. Raises ``PaymentError``.
    """
    job = jobs.locked(job_id)
    why = why.strip()
    if before := made_before(
        Settlement, press, lambda row: _repeated(row.owed), job_id=job_id, owed=owed, why=why
    ):
        return before
    if job.state not in CALLED_OFF:
        raise PaymentError(_("What is owed is decided once the job is declined or called off."))
    if not why:
        raise PaymentError(_("Say why this is owed."), "why")
    if not ZERO <= owed <= account(job).price:
        raise PaymentError(_("From nothing to the price of the whole job."), "owed")
    jobs.record(job, actor(by), "money.owed_decided", why=why, amount=str(owed))
    return _settled(job, owed, why, lines=((why[:200], owed),), by=by, press=press)


def _repeated(amount: Decimal) -> PaymentError:
    return PaymentError(
        _("This form has already been sent, with %(amount)s. Nothing was changed now. Open the page anew.")
        % {"amount": f"{amount:.2f}"}
    )


@transaction.atomic
def decide_refund(*, job_id: int, amount: Decimal, why: str, by: Any, press: str) -> Refund:
    """Record what goes back and why; ``press`` makes deciding twice one refund.

    When the job is off, what is kept of what was held is what the customer owes from then on. Raises
    ``PaymentError`` when more is to go back than is held, without a reason, or for a used key with other
    content.
    """
    job = jobs.locked(job_id)
    why = why.strip()
    if before := made_before(
        Refund, press, lambda row: _repeated(row.amount), job_id=job_id, amount=amount, why=why
    ):
        return before
    held = account(job).held
    if not why:
        raise PaymentError(_("Say why this amount goes back."), "why")
    if amount <= 0:
        raise PaymentError.of("amount_nothing", "amount")
    if amount > held:
        raise PaymentError(_("Only %(held)s is held for this job.") % {"held": f"{held:.2f}"}, "amount")
    refund = Refund.objects.create(
        job=job, amount=amount, kept=held - amount, why=why, press=press, decided_by=by
    )
    jobs.record(job, actor(by), "money.refund_decided", why=why, amount=str(amount))
    jobs.promise_mail(job, "refund", refund.pk)
    due = refund_due(job)
    if job.state in CALLED_OFF and due.owed > refund.kept:
        _settled(job, refund.kept, why, lines=((why[:200], refund.kept),), by=by)
    take_back(job, refresh(job), why)
    return refund


@transaction.atomic
def mark_refund_paid(
    *, refund_id: int, paid_on: date, by: Any, entry: StatementEntry | None = None
) -> Refund:
    """Record the day the money left; the first day stands, and a movement that tells of it is kept."""
    job = jobs.locked(Refund.objects.values_list("job", flat=True).get(pk=refund_id))
    refund = Refund.objects.select_for_update().get(pk=refund_id)
    if refund.paid_on:
        if entry is not None and refund.entry is None:
            refund.entry = entry
            refund.save(update_fields=["entry"])
        return refund
    if refund.withdrawn_at:
        raise PaymentError.of("refund_withdrawn")
    check_day(paid_on, "paid_on", told=entry is not None)
    refund.paid_on, refund.entry = paid_on, entry
    refund.save(update_fields=["paid_on", "entry"])
    jobs.record(job, actor(by), "money.refund_paid", amount=str(refund.amount))
    refresh(job)
    return refund
