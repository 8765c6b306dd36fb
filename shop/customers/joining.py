"""Jobs come to customers: alone where name and a way of reaching them agree; else a person decides.

One mail address may serve a family, one number a company, and a van is sold on: whatever is shared without
the name is a proposal and nothing more.
"""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import Count, Q, QuerySet

from configurator.outbox import service as outbox
from shop.jobs.finding import sort_name
from shop.jobs.models import Job

from .facts import Told, facts_of, same_name
from .models import Customer, CustomerJob, Fact

KIND = "customers_join"
AT_ONCE = 200


@transaction.atomic
def join(job: Job) -> Customer:
    """Return the job's customer, found or made, with what the job tells of them kept."""
    told = list(facts_of(job.revision))
    link = CustomerJob.objects.select_related("customer").filter(job=job).first()
    customer = link.customer if link else _known(job.revision.name, told) or _made(job.revision.name)
    if link is None:
        CustomerJob.objects.create(job=job, customer=customer)
    note_facts(customer, told)
    return customer


def note_facts(customer: Customer, told: list[Told]) -> None:
    """Keep what is not known of them yet."""
    Fact.objects.bulk_create(
        (Fact(customer=customer, kind=kind, value=value, key=key) for kind, value, key in told),
        ignore_conflicts=True,
    )
    same = Q(pk__in=[])
    for kind, _value, key in told:
        same |= Q(kind=kind, key=key)
    rows = Fact.objects.filter(same)
    if rows.exclude(customer=customer).exists():
        _note_shared(rows)


def _note_shared(rows: QuerySet[Fact]) -> None:
    """Mark what two records have: proposals look at nothing else, however many customers there are."""
    keys = rows.order_by().values("kind", "key").annotate(n=Count("customer")).filter(n__gte=2)
    shared = Q(pk__in=[])
    for row in keys:
        shared |= Q(kind=row["kind"], key=row["key"])
    Fact.objects.filter(shared, shared=False).update(shared=True)


def _known(name: str, told: list[Told]) -> Customer | None:
    """Return the one customer of that name who shares a fact; two of them are for a person to decide."""
    shared = Q()
    for kind, _value, key in told:
        shared |= Q(kind=kind, key=key)
    if not shared:
        return None
    rows = Customer.objects.filter(merged_into=None, pk__in=Fact.objects.filter(shared).values("customer"))
    found = [row for row in rows[:20] if same_name(row.name, name)]
    return found[0] if len(found) == 1 else None


def _made(name: str) -> Customer:
    return Customer.objects.create(name=name[:120], sort_name=sort_name(name))


@outbox.handles(KIND)
def join_waiting(payload: dict[str, Any]) -> None:
    """Join jobs from before there were customers, a bounded number a promise."""
    waiting = Job.objects.filter(of_customer=None).select_related("revision").order_by("pk")[: AT_ONCE + 1]
    jobs = list(waiting)
    for job in jobs[:AT_ONCE]:
        join(job)
    if len(jobs) > AT_ONCE:
        outbox.promise(kind=KIND, key=f"{KIND}:{jobs[-1].pk}", payload={})
