"""The postal address that a job's invoice goes to, written by the customer or by the workshop."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from configurator.catalogue import workshop as the
from shop.jobs import service as jobs
from shop.jobs.models import Job
from shop.jobs.roles import By, actor

from .models import BillingAddress


def address_of(job: Job) -> BillingAddress:
    """Return the job's address; without one an empty one, with the name and country to begin with."""
    known = BillingAddress.objects.filter(job=job).first()
    if known:
        return known
    workshop = the.current()
    return BillingAddress(job=job, name=job.revision.name, country=workshop.country if workshop else "DE")


@transaction.atomic
def keep_address(*, job_id: int, by: By, address: dict[str, Any]) -> bool:
    """Keep the address for invoices to come; return whether it is another than before.

    An invoice that was issued keeps the address it had.
    """
    job = jobs.locked(job_id)
    known = BillingAddress.objects.filter(job=job).values(*address).first()
    if known == address:
        return False
    BillingAddress.objects.update_or_create(job=job, defaults=address)
    jobs.record(job, actor(by), "money.address_given")
    return True
