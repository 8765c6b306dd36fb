"""What jobs' lives mean for customers' records, and what other rooms ask of them."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from shop.jobs.models import Job
from shop.jobs.signals import Notice

from . import selectors
from .joining import join
from .models import Customer

MOST_NAMED = 6
"""So many records are named above a list of jobs; more than that is no finding."""


def when_job_told(sender: object, job: Job, **kwargs: Any) -> None:
    """Keep a job that is opened, or whose contact was put right, with its customer."""
    join(job)


def when_asked_who_it_is(sender: object, key: str, **kwargs: Any) -> dict[str, str] | None:
    """Answer with the contact of a customer, for a new job to begin with."""
    if not (key.isascii() and key.isdigit() and len(key) < 12):
        return None
    customer = Customer.objects.filter(pk=int(key)).first()
    return selectors.contact_of(customer.merged_into or customer) if customer else None


def when_asked_whose(sender: object, jobs: list[Job], **kwargs: Any) -> list[Notice]:
    """Answer whose these jobs are, with the pages of the records."""
    whose = selectors.of_jobs(jobs)[:MOST_NAMED]
    return [Notice(row.name, reverse("shop:customer", args=[row.pk]), "info") for row in whose]
