"""A payment undone by a row of the opposite amount, and what follows for the job."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.roles import THE_SYSTEM, actor
from shop.jobs.said import DEPOSIT_GONE, say
from shop.jobs.states import CLOSED, State
from shop.parts.models import OrderedFor

from .account import Account, account
from .errors import PaymentError
from .ledger import hold_for_deposit, refresh, withdraw_refund
from .models import Payment, StatementEntry
from .reasons import BOUNCED


@transaction.atomic
def undo_payment(
    *,
    payment_id: int,
    by: Any,
    note: str,
    entry: StatementEntry | None = None,
    on: date | None = None,
    bounced: bool = False,
    tell: bool = False,
) -> Payment:
    """Undo a payment with a row of the opposite amount; undoing it twice does it once.

    ``entry`` is the movement that took the money back and ``on`` its day; without them the undoing stands
    beside the payment, on its day. ``bounced`` says that the bank took it back, as ``entry`` does: then what
    was decided to go back of it and has not gone yet is withdrawn. Otherwise money that was refunded already
    cannot be undone as well. A job whose deposit is not covered any more goes back to waiting for it; in the
    bay it is held. ``tell`` writes to the customer, who is told of a bounce, and of fixed dates that
    are given up, in any case. Raises ``PaymentError``.
    """
    job = jobs.locked(Payment.objects.values_list("job", flat=True).get(pk=payment_id))
    payment = Payment.objects.select_for_update().get(pk=payment_id)
    if payment.amount < 0:
        raise PaymentError(_("That row undoes another one already."))
    known = Payment.objects.filter(undoes=payment).first()
    if known:
        return known
    bounced = bounced or entry is not None
    _mind_refunds(job, payment, bounced)
    undone = Payment.objects.create(
        job=job,
        undoes=payment,
        amount=-payment.amount,
        method=payment.method,
        received_on=on or payment.received_on,
        entry=entry or payment.entry,
        by=by,
        note=note[:200],
    )
    _note_undone(job, payment, note, by=by, bounced=bounced, tell=tell or entry is not None)
    return undone


def _note_undone(job: Job, payment: Payment, note: str, *, by: Any, bounced: bool, tell: bool) -> None:
    """Write the undoing down, have the job follow, and tell the customer where they are to know."""
    action = "money.payment_bounced" if bounced else "money.payment_undone"
    was_booked = job.state == State.BOOKED
    noted = jobs.record(job, actor(by or "system"), action, why=note, amount=str(payment.amount))
    take_back(job, refresh(job), note)
    given_up = was_booked and job.state != State.BOOKED
    if tell or given_up:
        jobs.promise_mail(job, "payment_gone", noted.pk)


def _mind_refunds(job: Job, payment: Payment, bounced: bool) -> None:
    """See to it that what goes back does not go back twice."""
    left = account(job).held - payment.amount
    if left >= 0:
        return
    waiting = job.refunds.filter(paid_on=None, withdrawn_at=None)
    if bounced:
        for refund in waiting:
            withdraw_refund(refund_id=refund.pk, by=THE_SYSTEM, why=BOUNCED)
    elif waiting.exists():
        raise PaymentError(
            _("A refund of this money is decided and not paid out. Withdraw the refund first.")
        )
    else:
        raise PaymentError(
            _("%(amount)s of this money has gone back already, so it did come in. It cannot be undone too.")
            % {"amount": f"{-left:.2f}"}
        )


def take_back(job: Job, now: Account, why: str) -> None:
    """Have the job wait for its deposit again, with what is on order for it in question."""
    if now.covered or job.state in CLOSED:
        return
    orders = OrderedFor.objects.filter(part__job=job, line__not_coming="")
    numbers = sorted(set(orders.values_list("line__order__number", flat=True)))
    jobs.deposit_gone(job_id=job.pk, by=THE_SYSTEM, why=why)
    job.refresh_from_db()
    if job.state in (State.IN_THE_BAY, State.READY):
        hold_for_deposit(job, say(DEPOSIT_GONE, lines=[say("vehicle_here")]))
    elif numbers:
        hold_for_deposit(job, say(DEPOSIT_GONE, lines=[say("orders_in_question", orders=numbers)]))
