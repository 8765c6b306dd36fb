"""The ledgers of jobs that were there before are filled with the sums of their rows."""

from __future__ import annotations

import importlib
from decimal import Decimal

import pytest
from django.apps import apps
from django.utils import timezone

from shop.models import Job, Ledger, Settlement
from shop.money.ledger import book_payment
from tests.shop import factories

from .recomputing import kept, plainly

pytestmark = pytest.mark.django_db
FILLING = importlib.import_module("shop.migrations.0006_fill_the_ledgers")


@pytest.mark.parametrize("state", ["sent", "deposit_due", "booked", "ready", "handed_over", "cancelled"])
def test_filling_gives_what_the_rows_add_up_to(state: str) -> None:
    job = factories.job(state=state)
    today = timezone.localdate()
    book_payment(job_id=job.pk, amount=Decimal("120.10"), received_on=today, method="cash", by=None)
    Job.objects.update(state=state)
    before = Ledger.objects.filter(job=job).values("is_asked", "due_on", "late_from").get()
    Ledger.objects.all().delete()
    Settlement.objects.all().delete()

    FILLING.fill(apps, None)

    assert kept(job) == plainly(Job.objects.get())
    if state != "cancelled":
        assert Ledger.objects.filter(job=job).values("is_asked", "due_on", "late_from").get() == before
