"""Taking something off the price of a job: a discount, or goodwill after something went wrong."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from shop.jobs import service as jobs
from shop.jobs.roles import actor

from .account import CALLED_OFF, account
from .invoices import credit_reduction
from .ledger import PaymentError, settle
from .models import Reduction


@transaction.atomic
def reduce_price(*, job_id: int, amount: Decimal, why: str, by: Any, press: str) -> Reduction:
    """Take an amount, tax included, off what the job costs; ``press`` makes doing it twice one reduction.

    Raises ``PaymentError`` without a reason, for more than the price, and for a used key with other content.
    """
    job = jobs.locked(job_id)
    known = Reduction.objects.filter(press=press).first()
    if known:
        if (known.job_id, known.amount, known.why) != (job_id, amount, why.strip()[:200]):
            raise PaymentError(
                _("This form has already been sent, with something else in it. Open the page anew.")
            )
        return known
    price = account(job).price
    if job.state in CALLED_OFF:
        raise PaymentError(_("The job is off: decide what is owed instead."))
    if not why.strip():
        raise PaymentError(_("Say why: the customer reads it."), "why")
    if not Decimal(0) < amount <= price:
        raise PaymentError(
            _("Above nothing, and not more than the price of %(price)s.") % {"price": price}, "amount"
        )
    made = Reduction.objects.create(job=job, amount=amount, why=why.strip()[:200], by=by, press=press)
    jobs.record(job, actor(by or "system"), "money.reduced", why=made.why, amount=str(amount))
    settle(job=job)
    credit_reduction(made)
    return made
