"""The money pages at 20 and at many thousand jobs: the same queries, about the same bytes and time.

``KERBLINE_MONEY_JOBS`` sets how many; ratios are printed, no absolute time is asserted.
"""

from __future__ import annotations

import os
import statistics
import time
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shop.models import DepositRequest, Job, Ledger
from tests.shop import factories

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]
FEW, MANY = 20, int(os.environ.get("KERBLINE_MONEY_JOBS", "20000"))
PAGES = (
    "/workshop/money/",
    "/workshop/money/?state=overdue",
    "/workshop/money/invoices/",
    "/workshop/numbers/",
)
FACTS = ("currency", "price_cents", "asked_cents", "held_cents", "outstanding_cents", "over_cents",
         "is_asked", "is_open", "due_on", "late_from")  # fmt: skip


def copies(first: Job, wanted: int) -> None:
    """Copy a job with its request and ledger until there are so many; most are closed, as in a workshop."""
    have = Job.objects.count()
    request, ledger = first.deposit_requests.get(), Ledger.objects.get(job=first)
    template = first.spec
    specs = type(template).objects.bulk_create(
        [
            type(template)(selection=template.selection, catalogue_version=1, name=f"van {number}")
            for number in range(have, wanted)
        ]
    )
    made = Job.objects.bulk_create(
        [
            Job(number=f"K-2020-{number:06d}", spec=spec, revision=first.revision, state=state(number))
            for number, spec in zip(range(have, wanted), specs, strict=True)
        ]
    )
    plain = {"amount": request.amount, "total": request.total, "currency": "EUR", "due_on": request.due_on}
    DepositRequest.objects.bulk_create(
        [DepositRequest(job=job, number=1, reference=f"RF00KL{job.pk}", **plain) for job in made]
    )
    facts = {name: getattr(ledger, name) for name in FACTS}
    Ledger.objects.bulk_create(
        [
            Ledger(job=job, **(facts | ({} if job.state != "handed_over" else {"is_open": False})))
            for job in made
        ]
    )


def state(number: int) -> str:
    """One job in ten is under way."""
    return "deposit_due" if number < FEW or number % 10 == 0 else "handed_over"


def measured(client: Client) -> dict[str, tuple[float, int, int]]:
    """Return the median processor time, queries and bytes of each page."""
    found = {}
    for page in PAGES:
        client.get(page)
        with CaptureQueriesContext(connection) as captured:
            size = len(client.get(page).content)
        # Counted now: the next request empties the log.
        queries = len(captured)
        times = []
        for _ in range(7):
            begun = time.process_time()
            client.get(page)
            times.append(time.process_time() - begun)
        found[page] = (statistics.median(times), queries, size)
    return found


def test_pages_at_few_and_many() -> None:
    factories.make_workshop()
    client = Client()
    client.force_login(factories.staff("manager"))
    first = factories.job(state="deposit_due")
    copies(first, FEW)
    few = measured(client)
    copies(first, MANY)
    many = measured(client)

    print(f"\n{'page':<36}{'time ratio':>12}{'queries':>12}{'bytes ratio':>14}   {FEW} -> {MANY} jobs")
    for page in PAGES:
        (before, queries, size), (after, queries_then, size_then) = few[page], many[page]
        print(f"{page:<36}{after / before:>12.2f}{queries:>6}{queries_then:>6}{size_then / size:>14.2f}")
        assert queries_then == queries > 0
    assert Ledger.objects.filter(is_open=True).count() > FEW
    assert sum((row.outstanding for row in Ledger.objects.filter(is_open=True)), Decimal(0)) > 0
