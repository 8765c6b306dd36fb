"""Jobs with a price of 1,190 and a deposit of 300, paid and told of."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.models import HistoryEntry, Job, Payment
from shop.money.ledger import PaymentError, book_payment
from tests.shop import factories

TODAY = date(2026, 6, 3)
LONG_AGO = "That is more than five years ago. Is the year right?"
"""The day of the fixture ``one_day``."""
FULL, DEPOSIT = Decimal("1190.00"), Decimal("300.00")


def pay(job: Job, amount: Decimal = DEPOSIT, **changes) -> Payment:
    form = {"received_on": timezone.localdate(), "method": "cash", "by": None}
    return book_payment(job_id=job.pk, amount=amount, **(form | changes))


def due(state: str = "deposit_due", **changes) -> Job:
    return factories.job(state=state, **changes)


def mails(kind: str) -> int:
    return OutboxEntry.objects.filter(kind="job_mail", payload__template=kind).count()


def in_state(job: Job) -> str:
    job.refresh_from_db()
    return job.state


def told(job: Job, action: str) -> HistoryEntry:
    return job.history.get(action=action)


def refused(call: Any, **form: Any) -> tuple[str, str]:
    """Return what is said, and beside which field."""
    with pytest.raises(PaymentError) as refusal:
        call(**form)
    return str(refusal.value), refusal.value.field
