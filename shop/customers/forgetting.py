"""What is kept of customers, given out and forgotten with their jobs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from shop.jobs.finding import sort_name
from shop.jobs.models import Job

from .facts import facts_of
from .joining import note_facts
from .models import Customer


def records_of(jobs: Iterable[Job]) -> list[Customer]:
    """Return the customers whose jobs these are, with the records that were joined to them."""
    keys = [job.pk for job in jobs]
    rows = Customer.objects.filter(jobs__job__in=keys).distinct()
    return list(rows | Customer.objects.filter(merged_into__jobs__job__in=keys).distinct())


def told_of(jobs: Iterable[Job]) -> list[dict[str, Any]]:
    """Return what the records say, for the customer to have."""
    return [
        {
            "name": row.name,
            "note": row.note,
            "facts": [{"kind": fact.kind, "value": fact.value} for fact in row.facts.all()],
        }
        for row in records_of(jobs)
    ]


def forget_records(jobs: list[Job], name: str) -> None:
    """Take these jobs' customers out of the records; called after the jobs themselves were forgotten.

    Who has other jobs keeps what those tell and nothing else.
    """
    keys = {job.pk for job in jobs}
    for customer in records_of(jobs):
        left = Job.objects.filter(of_customer__customer=customer).exclude(pk__in=keys)
        customer.facts.all().delete()
        others = list(left.select_related("revision"))
        for job in others:
            note_facts(customer, list(facts_of(job.revision)))
        customer.name = others[0].revision.name if others else name
        customer.sort_name, customer.note = sort_name(customer.name), ""
        customer.save(update_fields=["name", "sort_name", "note"])
