"""What the customers' pages read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q, QuerySet

from shop.jobs.finding import sort_name, squash
from shop.jobs.models import Job
from shop.jobs.substrings import has
from shop.money.models import BillingAddress
from shop.money.models_ledger import Ledger

from .facts import phone_key
from .models import Customer, CustomerJob, Fact, Merge

Kind = Fact.Kind
MOST_BY_FACT = 500


def listed(words: str = "") -> QuerySet[Customer]:
    """Return the customers by name, or those whose name or facts begin with what was typed."""
    rows = Customer.objects.filter(merged_into=None)
    words = words.strip()
    if words:
        by_fact = Q(pk__in=[])
        for key in {squash(words), words.casefold(), phone_key(words)} - {""}:
            by_fact |= has(Fact, "key", [[key]]) & Q(key__startswith=key)
        keys = list(Fact.objects.filter(by_fact).order_by().values_list("customer", flat=True)[:MOST_BY_FACT])
        rows = rows.filter(has(Customer, "sort_name", [[sort_name(words)]]) | Q(pk__in=keys))
    return rows


def with_jobs(rows: Iterable[Customer]) -> list[tuple[Customer, int, list[Fact]]]:
    """Return each with how many jobs and which facts it has, in two queries for all."""
    rows = list(rows)
    jobs = (
        CustomerJob.objects.filter(customer__in=rows).order_by().values("customer").annotate(n=Count("job"))
    )
    counts = {each["customer"]: each["n"] for each in jobs}
    facts: dict[int, list[Fact]] = {}
    for fact in Fact.objects.filter(customer__in=rows):
        facts.setdefault(fact.customer_id, []).append(fact)
    return [(row, counts.get(row.pk, 0), facts.get(row.pk, [])) for row in rows]


@dataclass(frozen=True)
class JobOf:
    """One job of a customer with its money."""

    job: Job
    held: Decimal
    owed: Decimal


@dataclass(frozen=True)
class Whole:
    """Everything about one customer."""

    customer: Customer
    jobs: list[JobOf]
    facts: dict[str, list[Fact]]
    addresses: list[BillingAddress]
    merges: list[Merge]

    @property
    def held(self) -> Decimal:
        """What is held of theirs."""
        return sum((row.held for row in self.jobs), Decimal(0))

    @property
    def owed(self) -> Decimal:
        """What they owe, over all jobs."""
        return sum((row.owed for row in self.jobs), Decimal(0))


def whole(customer: Customer) -> Whole:
    """Return everything about one customer."""
    jobs = list(
        Job.objects.filter(of_customer__customer=customer)
        .select_related("revision", "spec")
        .order_by("-opened_at", "-pk")
    )
    money = {row.job_id: row for row in Ledger.objects.filter(job__in=jobs)}
    facts: dict[str, list[Fact]] = {}
    for fact in customer.facts.all():
        facts.setdefault(fact.kind, []).append(fact)
    return Whole(
        customer,
        [JobOf(job, _euros(money.get(job.pk), "held_cents"), _euros(money.get(job.pk), "outstanding_cents"))
         for job in jobs],
        facts,
        list(BillingAddress.objects.filter(job__in=jobs)),
        list(customer.merges.filter(undone_at=None).select_related("gone", "by")),
    )  # fmt: skip


def _euros(row: Any, name: str) -> Decimal:
    return Decimal(getattr(row, name) if row else 0) / 100


def contact_of(customer: Customer) -> dict[str, str]:
    """Return what a new job begins with: name, the newest way of reaching them, the newest vehicle."""
    found = {"name": customer.name}
    fields = {Kind.MAIL: "email", Kind.PHONE: "phone"}
    for kind, field in fields.items():
        fact = customer.facts.filter(kind=kind).last()
        found[field] = fact.value if fact else ""
    last = Job.objects.filter(of_customer__customer=customer).select_related("revision").first()
    if last:
        found |= {"registration": last.revision.registration, "vin": last.revision.vin}
    return found


def of_jobs(jobs: Iterable[Job]) -> list[Customer]:
    """Return whose jobs these are, each once, in the jobs' order."""
    keys = [job.pk for job in jobs]
    rows = {
        row.job_id: row.customer
        for row in CustomerJob.objects.filter(job__in=keys).select_related("customer")
    }
    return list({rows[key].pk: rows[key] for key in keys if key in rows}.values())
