"""An invoice speaks to its customer: what was built and what went into it, in their language."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from configurator.builds.evaluate import evaluate
from configurator.catalogue.snapshot import Catalogue
from shop.documents.content.invoice import invoice
from shop.documents.einvoice import as_xml
from shop.jobs.opening import open_job
from shop.models import Invoice, Job
from shop.money.addresses import keep_address
from shop.money.invoices import issue_invoice
from tests.builds.builds import harbour_van
from tests.shop import factories

pytestmark = pytest.mark.django_db
BUYER = {"name": "Ida Sommer", "extra": "", "street": "Am Anger 2", "postcode": "50667", "town": "Köln",
         "country": "DE", "vat_id": ""}  # fmt: skip


def invoice_of(catalogue: Catalogue, language: str, **workshop: Any) -> Invoice:
    """Return the invoice of a build from the demonstration's catalogue."""
    for name, value in ({"tax_number": "DE136695976"} | workshop).items():
        setattr(catalogue.workshop, name, value)
    assert catalogue.workshop is not None
    catalogue.workshop.save()
    found = evaluate(harbour_van(), catalogue)
    revision = factories.revision(found, evaluation=found.kept(), language=language)
    job = open_job(revision=revision)
    Job.objects.filter(pk=job.pk).update(state="ready")
    keep_address(job_id=job.pk, by="customer", address=BUYER)
    return issue_invoice(job_id=job.pk, by=None)


def test_lines_and_what_went_into_them_are_in_the_customers_language(demo_catalogue: Catalogue) -> None:
    made = invoice_of(demo_catalogue, "de")
    labels = [line["label"] for line in made.content["lines"]]
    details = " ".join(line["detail"] for line in made.content["lines"])
    assert any("vorn" in label for label in labels), labels
    assert labels[-1] == "Annahme, Wäsche und Endkontrolle"
    assert "Radschraube" in details
    assert "Wheel bolt" not in details
    assert "0,05\xa0l" in details
    xml = as_xml(made).decode()
    assert all(label.split(",")[0] in xml for label in labels)


def test_a_rate_with_a_decimal_is_written_as_the_customer_writes_it(demo_catalogue: Catalogue) -> None:
    made = invoice_of(demo_catalogue, "de", tax_rate_pct=Decimal("8.1"))
    assert invoice(made)["sums"][1][0] == "USt. 8,1 %"
