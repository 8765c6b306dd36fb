"""The list of money that waits for a person, at 20 and at 20,000 jobs: time, queries, bytes side by side."""

from __future__ import annotations

import copy
from datetime import timedelta
from decimal import Decimal
from time import perf_counter

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from configurator.models import Spec, SpecRevision
from shop.models import DepositRequest, Job, Payment, StatementEntry, StatementFile
from shop.money.names import payer_key
from shop.money.references import make_reference
from tests.shop import factories

SIZES = (20, 20_000)
PAGES = ("/workshop/money/unmatched/", "/workshop/money/statements/", "/workshop/money/day/")
RUNS = 15


def fill(size: int) -> None:
    """Make jobs of many names and a few amounts, and a movement for every second one."""
    first = Job.objects.first() or factories.job(state="deposit_due")
    have, step = Job.objects.count(), size - Job.objects.count()
    spec, revision = Spec.objects.first(), SpecRevision.objects.first()
    request, today = first.deposit_requests.get(), timezone.localdate()
    specs = Spec.objects.bulk_create(
        clone(spec, nonce=f"n{n}", digest=f"b{n}", share_nonce=f"n{n}", share_digest=f"s{n}")
        for n in range(have, have + step)
    )
    revisions = SpecRevision.objects.bulk_create(
        clone(revision, spec=one, name=f"Ida{n % 997} Sommer{n % 89}") for n, one in enumerate(specs, have)
    )
    jobs = Job.objects.bulk_create(
        clone(first, spec=one.spec, revision=one, number=f"K-2026-{n + 1:05d}", nonce=f"n{n}", digest=f"t{n}")
        for n, one in enumerate(revisions, have)
    )
    DepositRequest.objects.bulk_create(
        clone(
            request,
            job=job,
            reference=make_reference(job.pk),
            payer_key=payer_key(job.revision.name),
            amount=Decimal(300 + n % 10),
        )
        for n, job in enumerate(jobs)
    )
    Payment.objects.bulk_create(
        Payment(job=job, amount=100, method="card", received_on=today - timedelta(days=1 + n % 500))
        for n, job in enumerate(jobs[::3])
    )
    file = StatementFile.objects.create(digest=str(size), name=f"{size}.xml", format="CSV")
    StatementEntry.objects.bulk_create(
        StatementEntry(
            file=file,
            key=f"{size}-{n}",
            booked_on=today - timedelta(days=n % 300),
            waits_from=today - timedelta(days=n % 300),
            amount=Decimal(300 + n % 10),
            currency="EUR",
            other_name=job.revision.name,
            text=f"van {job.number} {make_reference(job.pk)[:-1]}",
        )
        for n, job in enumerate(jobs[::2], 1)
    )


def clone(row, **changes):  # type: ignore[no-untyped-def]
    """Return a row like this one that is not stored yet."""
    new = copy.copy(row)
    new.pk, new._state = None, copy.copy(row._state)
    new._state.adding, new._state.fields_cache = True, {}
    for field in row._meta.fields:
        # Links and numbers of other rows' own must not stand twice.
        if field.unique and not field.primary_key and field.name not in changes and not field.is_relation:
            setattr(new, field.name, field.get_default() if field.has_default() else None)
    for name, value in changes.items():
        setattr(new, name, value)
    return new


@pytest.mark.benchmark
@pytest.mark.django_db
def test_pages_do_not_grow_with_the_jobs() -> None:
    """Prints the table; queries must be equal, times are told as ratios."""
    factories.make_workshop()
    client = Client()
    client.force_login(factories.staff("manager"))
    told: dict[str, list[tuple[float, int, int]]] = {page: [] for page in PAGES}
    for size in SIZES:
        fill(size)
        for page in PAGES:
            client.get(page)
            times = []
            for _ in range(RUNS):
                start = perf_counter()
                answer = client.get(page)
                times.append(perf_counter() - start)
            with CaptureQueriesContext(connection) as captured:
                client.get(page)
            told[page].append((min(times), len(captured), len(answer.content)))
    print(f"\n{'page':32} {'time':>6} {'queries':>9} {'bytes':>6}   {SIZES[1]} jobs against {SIZES[0]}")
    for page, (few, many) in told.items():
        print(f"{page:32} {many[0] / few[0]:6.2f} {few[1]:4d}/{many[1]:<4d} {many[2] / few[2]:6.2f}")
    assert all(few[1] == many[1] for few, many in told.values())
