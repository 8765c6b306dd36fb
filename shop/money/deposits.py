"""Deposit requests: made with the job, renewed when an amendment changes the amount."""

from __future__ import annotations

from datetime import timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from configurator.builds.evaluation import Evaluation
from configurator.catalogue import workshop as workshops
from shop.jobs.models import Job

from .models import DepositRequest
from .names import payer_key
from .payee import payee
from .references import make_reference


class NoPriceError(ValueError):
    """The evaluation has no price, so no deposit follows from it."""


@transaction.atomic
def make_deposit_request(*, job: Job, evaluation: Evaluation) -> DepositRequest:
    """Return the request in force for this evaluation, making or renewing it where needed.

    The same amount leaves the request as it is; another supersedes it (the old one is kept) under the
    same reference. Raises ``NoPriceError`` without a price.
    """
    if evaluation.price is None:
        raise NoPriceError(_("There is no price, so there is no deposit to ask for."))
    price = evaluation.price
    requests = list(job.deposit_requests.select_for_update())
    current = next((request for request in requests if request.superseded_at is None), None)
    if current and (current.amount, current.total) == (price.deposit, price.total):
        return current
    if current:
        current.superseded_at = timezone.now()
        current.save(update_fields=["superseded_at"])
    workshop = workshops.current()
    days = workshop.deposit_due_days if workshop else 7
    return DepositRequest.objects.create(
        job=job,
        number=len(requests) + 1,
        amount=price.deposit,
        currency=price.currency,
        why=price.deposit_why[:200],
        total=price.total,
        reference=make_reference(job.pk),
        payer_key=payer_key(job.revision.name),
        payee=payee(),
        due_on=timezone.localdate() + timedelta(days=days),
    )
