"""Which tax is in a price: the rate of the day on which it is supplied, or none and why."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from configurator.models import Workshop
from shop.documents.content.invoice import invoice
from shop.documents.einvoice import as_xml
from shop.documents.service import content_of
from shop.models import Invoice, Job
from shop.money.addresses import keep_address
from shop.money.invoices import issue_invoice
from shop.opening.models import SettingChange
from shop.parts.service import place_order
from tests.shop import factories
from tests.shop.documents.business_rules import broken_rules

pytestmark = pytest.mark.django_db
BUYER = {"name": "Ida Sommer", "extra": "", "street": "Am Anger 2", "postcode": "50667", "town": "Köln",
         "country": "DE", "vat_id": ""}  # fmt: skip
NEW_YEAR = date(2027, 1, 1)
SCHEME = "Kein Ausweis von Umsatzsteuer, da Kleinunternehmer (§ 19 UStG)."


def changing(**changes: Any) -> Workshop:
    """A workshop whose rate rises from 19 to 20 per cent with the new year."""
    rates = {"tax_rate_pct": 20, "tax_rate_from": NEW_YEAR, "tax_rate_before_pct": 19}
    return factories.make_workshop(tax_number="DE136695976", **(rates | changes))


def handed_over(day: date, language: str = "en-gb") -> Job:
    """A job that was agreed in the old year, at 19 per cent, and handed over on this day."""
    at = datetime(day.year, day.month, day.day, 12, tzinfo=timezone.get_default_timezone())
    job = factories.job(state="handed_over", handed_over_at=at, state_since=at)
    job.revision.language = language
    job.revision.save()
    keep_address(job_id=job.pk, by="customer", address=BUYER)
    return job


@pytest.mark.long
@pytest.mark.parametrize(
    ("day", "rate", "net", "tax"),
    [(date(2026, 12, 31), 19, "1000.00", "190.00"), (NEW_YEAR, 20, "991.67", "198.33")],
)
def test_an_invoice_takes_the_rate_of_the_day_of_supply(day: date, rate: int, net: str, tax: str) -> None:
    changing()
    with time_machine.travel(datetime(2027, 1, 4, 12, tzinfo=timezone.get_default_timezone())):
        made = issue_invoice(job_id=handed_over(day).pk, by=None)
    assert (made.tax_rate_pct, made.net, made.tax) == (rate, Decimal(net), Decimal(tax))
    assert made.gross == 1190  # what was agreed stays what is paid
    assert invoice(made)["sums"][1] == [f"VAT {rate} %", f"€{tax}"]
    assert broken_rules(as_xml(made)) == []


@pytest.fixture
def manager(client: Client, db: None) -> Client:
    client.force_login(factories.staff("manager", name="chefin"))
    return client


def save(manager: Client, **changes: str) -> Any:
    form = {"tax_number": "DE136695976", "tax_rate_pct": "19", "currency": "EUR", "labour_rate_per_h": "90",
            "hours_per_day": "8"}  # fmt: skip
    return manager.post(reverse("shop:setting", args=["tax"]), form | changes)


@pytest.mark.long
def test_a_rate_that_changes_while_there_are_jobs_needs_its_first_day(manager: Client) -> None:
    workshop = factories.make_workshop(tax_number="DE136695976")
    assert save(manager, tax_rate_pct="18").status_code == 302  # nothing was agreed yet
    save(manager)
    factories.job()
    refused = save(manager, tax_rate_pct="20")
    assert refused.status_code == 422
    assert "From which day?" in refused.content.decode()

    assert save(manager, tax_rate_pct="20", tax_rate_from="2027-01-01").status_code == 302
    workshop.refresh_from_db()
    assert [workshop.tax_rate_on(NEW_YEAR - timedelta(days=days)) for days in (1, 0)] == [19, 20]

    # The next change: the rate that stood here is the one before, whatever the page still shows of the last.
    next_year = {"tax_rate_from": "2028-01-01", "tax_rate_before_pct": "19.00"}
    assert save(manager, tax_rate_pct="21", **next_year).status_code == 302
    workshop.refresh_from_db()
    assert [workshop.tax_rate_on(date(2028, 1, 1) - timedelta(days=days)) for days in (1, 0)] == [20, 21]

    manager.post(reverse("shop:setting_undo", args=[SettingChange.objects.first().pk]))
    workshop.refresh_from_db()
    assert (workshop.tax_rate_pct, workshop.tax_rate_from) == (20, NEW_YEAR)


def test_a_first_day_needs_the_rate_before_it(manager: Client) -> None:
    factories.make_workshop(tax_number="DE136695976")
    refused = save(manager, tax_rate_from="2027-01-01")
    assert "Which rate holds until that day?" in refused.content.decode()
    assert refused.status_code == 422


def test_a_missing_tax_number_is_told_before_the_first_invoice_needs_it(manager: Client) -> None:
    factories.make_workshop(tax_number="")
    assert "without one no invoice can be issued" in manager.get(reverse("shop:settings")).content.decode()
    Workshop.objects.update(tax_number="DE136695976")
    assert "no invoice can be issued" not in manager.get(reverse("shop:settings")).content.decode()


# without tax


@pytest.fixture
def untaxed(db: None) -> Job:
    """A job of a small business that charges no tax."""
    factories.make_workshop(tax_number="214/5082/0816", tax_rate_pct=0, no_tax_why=SCHEME)
    none = {"tax_rate_pct": Decimal(0), "net": Decimal(1190), "tax": Decimal(0)}
    price = factories.price().model_copy(update=none)
    job = factories.job(factories.evaluation(price=price), state="ready")
    keep_address(job_id=job.pk, by="customer", address=BUYER)
    return job


def test_without_tax_an_invoice_says_why_and_no_sum_speaks_of_tax(untaxed: Job) -> None:
    made: Invoice = issue_invoice(job_id=untaxed.pk, by=None)
    said = invoice(made)
    assert said["tax_note"] == SCHEME
    assert said["sums"] == []
    assert said["head"][2] == "Amount"
    assert said["result"][0] == ["Total", "€1,190.00"]
    xml = as_xml(made)
    assert f"<ram:ExemptionReason>{SCHEME}</ram:ExemptionReason>" in xml.decode()
    assert broken_rules(xml) == []


def test_without_tax_nobody_reads_that_it_is_included(untaxed: Job, client: Client) -> None:
    page = client.get(f"/job/{untaxed.token}/", headers={"accept-language": "en"}).content.decode()
    assert "1,190.00" in page
    papers = f"{content_of('quote', untaxed)} {content_of('deposit', untaxed)}"
    for text in (page, papers):
        assert "tax included" not in text
        assert "Tax" not in text.replace("Tax no.", "")


def test_without_tax_of_its_own_a_workshop_tells_no_supplier_what_tax_to_charge(untaxed: Job) -> None:
    Job.objects.update(state="deposit_in")
    order = place_order(supplier="northwheel", by=None)
    assert (order.tax_rate_pct, order.total_gross) == (None, order.total_net)
