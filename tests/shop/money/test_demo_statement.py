"""The demonstration's statement pays the demonstration's first job, as the README says."""

from __future__ import annotations

from decimal import Decimal

import pytest
import time_machine
from django.conf import settings

from configurator.builds import sending, service
from shop.models import DepositRequest
from shop.money.statements.importing import import_statement
from tests.builds.builds import harbour_van

# The file's own days: money cannot come in on a day that is still to come.
AFTER_ITS_DAYS = "2026-11-26T12:00:00+00:00"
STATEMENT = settings.BASE_DIR / "fixtures" / "statements" / "demo.csv"


@time_machine.travel(AFTER_ITS_DAYS)
@pytest.mark.django_db
def test_first_deposit_is_covered_to_the_cent(demo_catalogue):
    spec = service.start_build(generation="haldor-2")
    service.save_build(spec_id=spec.pk, selection=harbour_van())
    contact = sending.Contact(name="Mirela Vasant", email="mirela@harbour.example")
    sending.send_build(spec_id=spec.pk, contact=contact, terms_version="1", terms_text="")
    request = DepositRequest.objects.get()
    # A test's database goes on counting jobs; the first job's reference has a test of its own.
    data = STATEMENT.read_text().replace("RF98 KL00 0001", request.reference)
    import_statement(name="demo.csv", data=data.encode())
    paid = sum((payment.amount for payment in request.job.payments.all()), Decimal(0))
    assert paid == request.amount
