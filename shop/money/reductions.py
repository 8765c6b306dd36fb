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
from .pressing import made_before


@transaction.atomic
def reduce_price(*, job_id: int, amount: Decimal, why: str, by: Any, press: str) -> Reduction:
    """Take an amount, tax included, off what the job costs; ``press`` makes doing it twice one reduction.

    Raises ``PaymentError`` without a reason, for more than the price, and for a used key with other content.
    """
    job = jobs.locked(job_id)
    why = why.strip()[:200]
    if known := made_before(Reduction, press, _repeated, job_id=job_id, amount=amount, why=why):
        return known
    price = account(job).price
    if job.state in CALLED_OFF:
        raise PaymentError(_("The job is off: decide what is owed instead."))
    if not why:
        raise PaymentError(_("Say why: the customer reads it."), "why")
    if not Decimal(0) < amount <= price:
        raise PaymentError(
            _("Above nothing, and not more than the price of %(price)s.") % {"price": price}, "amount"
        )
    made = Reduction.objects.create(job=job, amount=amount, why=why, by=by, press=press)
    jobs.record(job, actor(by or "system"), "money.reduced", why=why, amount=str(amount))
    settle(job=job)
    credit_reduction(made)
    return made


def _repeated(known: Reduction) -> PaymentError:
    return PaymentError(_("This form has already been sent, with something else in it. Open the page anew."))
