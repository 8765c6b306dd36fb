"""What came in: bookings over append-only rows, and what follows for the job."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.catalogue import workshop
from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.roles import THE_SYSTEM, actor
from shop.jobs.said import DEPOSIT_GONE, MORE_DEPOSIT, Kept, say
from shop.jobs.states import CLOSED, ORDER, State

from .account import Account, account, added, standing
from .amounts import cents
from .errors import PaymentError as PaymentError
from .models import Ledger, Payment, Refund, StatementEntry
from .models_ledger import NEVER
from .pressing import made_before

LONG_AGO = timedelta(days=5 * 366)
"""A day before that has a mistyped year: 26 for 2026."""
HOLD_WAITS = "money.hold_waits"
BEFORE_THE_BAY = ORDER[ORDER.index(State.DEPOSIT_IN) : ORDER.index(State.IN_THE_BAY)]


def refresh(job: Job) -> Account:
    """Keep where the job's money stands for lists; call it under the job's lock after every change."""
    now = account(job)
    due = now.due_on
    late = NEVER if due is None or job.state == State.READY else due + timedelta(days=1)
    waiting = added(job.refunds.filter(paid_on=None, withdrawn_at=None))
    kept = {
        "currency": now.request.currency if now.request else "",
        "price_cents": cents(now.price),
        "asked_cents": cents(now.asked),
        "held_cents": cents(now.held),
        "outstanding_cents": cents(now.outstanding),
        "over_cents": cents(now.over),
        "to_pay_out_cents": cents(waiting),
        "is_asked": now.is_asked,
        "is_open": now.is_open,
        "is_to_settle": job.state in CLOSED and bool(now.outstanding or now.over),
        "is_to_invoice": job.state == State.HANDED_OVER and now.price > 0 and standing(job) is None,
        "due_on": due or NEVER,
        "late_from": late,
    }
    Ledger.objects.update_or_create(job=job, defaults=kept)
    return now


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

    ``press`` makes booking the same form twice one payment; the same key with anything else in the form is
    refused, never dropped. Raises ``PaymentError`` for that, for an amount that is not positive, for a day
    to come and for one years ago.
    """
    if amount <= 0:
        raise PaymentError.of("amount_nothing", "amount")
    check_day(received_on, "received_on", told=entry is not None)
    job = jobs.locked(job_id)
    note = note[:200]
    told = {"job_id": job_id, "amount": amount, "received_on": received_on, "method": method, "note": note}
    if before := made_before(Payment, press, _form_used, **told):
        return before
    payment = Payment.objects.create(**told, by=by, press=press or None, entry=entry)
    jobs.record(job, actor(by or "system"), "money.payment_booked", amount=str(amount), method=method)
    settle(job=job)
    return payment


def check_day(day: date, field: str, *, told: bool) -> None:
    """Refuse a day to come; and one that nobody means, unless a statement has ``told`` it."""
    if day > timezone.localdate():
        raise PaymentError.of("day_to_come", field)
    if not told and day < timezone.localdate() - LONG_AGO:
        raise PaymentError.of("day_long_ago", field)


def _form_used(before: Payment) -> PaymentError:
    return PaymentError.of("form_used", amount=f"{before.amount:.2f}")


def settle(*, job: Job) -> bool:
    """Keep the ledger; tell the job that its deposit is covered, if it is; return whether that was news."""
    now = refresh(job)
    if not now.covered:
        return False
    if job.hold_id in (DEPOSIT_GONE, MORE_DEPOSIT):
        jobs.release(job_id=job.pk, by=THE_SYSTEM)
    if job.state not in ORDER[: ORDER.index(State.DEPOSIT_IN)]:
        return False
    return jobs.deposit_received(job_id=job.pk, by=THE_SYSTEM, data={"paid": str(now.held)})


def hold_for_more(*, job: Job, now: Account) -> None:
    """Hold a job until what a change asks for in advance is here; dates and parts stay as they are."""
    if job.state not in BEFORE_THE_BAY:
        return
    if now.covered:
        settle(job=job)
    else:
        hold_for_deposit(
            job,
            say(
                MORE_DEPOSIT,
                money=[str(now.outstanding), now.request.currency if now.request else workshop.currency()],
            ),
        )


def hold_for_deposit(job: Job, said: Kept) -> None:
    """Hold the job for its deposit; a person's own hold stands, and this one comes when it is lifted."""
    if job.on_hold_reason:
        jobs.record(job, THE_SYSTEM, HOLD_WAITS, said=said)
        return
    jobs.hold(job_id=job.pk, by=THE_SYSTEM, said=said)
    job.refresh_from_db()


def hold_that_waited(job: Job) -> None:
    """Hold a job, whose hold was lifted, for the deposit that went or was asked for during that hold."""
    told = job.history.filter(action__in=("job.released", HOLD_WAITS)).order_by("-pk")[1:2]
    for since_the_hold_before in told:
        if since_the_hold_before.action == HOLD_WAITS and not account(job).covered:
            hold_for_deposit(job, since_the_hold_before.data["said"])


@transaction.atomic
def withdraw_refund(*, refund_id: int, by: Any, why: str) -> bool:
    """Take back a refund that was decided and not paid out; return whether this call did."""
    job = jobs.locked(Refund.objects.values_list("job", flat=True).get(pk=refund_id))
    refund = Refund.objects.select_for_update().get(pk=refund_id)
    if refund.paid_on:
        raise PaymentError(_("It has been paid out already."))
    if refund.withdrawn_at:
        return False
    if not why.strip():
        raise PaymentError(_("Say why it is withdrawn."), "why")
    refund.withdrawn_at, refund.withdrawn_why = timezone.now(), why.strip()[:200]
    refund.save(update_fields=["withdrawn_at", "withdrawn_why"])
    jobs.record(job, actor(by), "money.refund_withdrawn", why=why.strip(), amount=str(refund.amount))
    settle(job=job)
    return True


def waiting_refunds() -> Any:
    """Return decided refunds that have not been paid out."""
    return Refund.objects.filter(paid_on__isnull=True, withdrawn_at=None).select_related("job")
