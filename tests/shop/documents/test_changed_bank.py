"""A workshop that changes its bank, or trades under another name than the one that is registered."""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import pytest
import zxingcpp
from django.test import Client
from lxml import etree
from PIL import Image
from pypdf import PdfReader

from configurator.models import Workshop
from shop.documents.content.invoice import invoice
from shop.documents.einvoice import as_xml
from shop.documents.service import content_of, open_paper
from shop.models import Job
from shop.money.addresses import keep_address
from shop.money.invoices import issue_invoice
from shop.money.payment_code import payment_code, payment_picture
from shop.money.references import in_fours
from tests.shop import factories
from tests.shop.money.camt_samples import transfer
from tests.shop.money.transfers import read, reference

from .business_rules import broken_rules
from .test_einvoice import ADDRESS, NAMES

pytestmark = pytest.mark.django_db
BEFORE, AFTER = "DE89370400440532013000", "DE02120300000000202051"
LEGAL = "Sommer & Winter Fahrzeugstyling Handwerksbetriebe GmbH & Co. Kommanditgesellschaft Köln"


@pytest.fixture
def job(db: None) -> Job:
    """A job that was asked to pay into the account before; the workshop has another since."""
    factories.make_workshop(tax_number="DE136695976", iban=BEFORE, bic="COBADEFF")
    job = factories.job(factories.evaluation(price=factories.price()), state="deposit_due")
    Workshop.objects.update(iban=AFTER, bic="BYLADEM1001")
    return job


def scanned(picture: bytes) -> str:
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(picture)))
    return str(found.text)


def test_who_is_asked_to_pay_is_told_the_new_account_everywhere(job: Job, client: Client) -> None:
    page = client.get(f"/job/{job.token}/", headers={"accept-language": "en"}).content.decode()
    paper = content_of("deposit", job)
    request = job.deposit_requests.get()
    assert in_fours(AFTER) in page
    assert in_fours(BEFORE) not in page
    assert ["IBAN", in_fours(AFTER)] in paper["bank"]
    assert ["BIC", "BYLADEM1001"] in paper["bank"]
    assert AFTER in scanned(payment_picture(request, Decimal(300)) or b"")


def test_an_invoice_prints_the_account_that_its_code_pays_into(job: Job) -> None:
    Job.objects.update(state="ready")
    keep_address(job_id=job.pk, by="customer", address=ADDRESS)
    made = issue_invoice(job_id=job.pk, by=None)
    printed = {"name": "Dull Workshop", "iban": AFTER, "bic": "BYLADEM1001"}
    Workshop.objects.update(iban=BEFORE)  # changed again before the paper is made
    said = invoice(made)["pay"]
    assert ["IBAN", in_fours(AFTER)] in said["bank"]
    assert said["qr"] == payment_code(job.deposit_requests.get(), made.due, printed)[0]


def test_what_still_comes_into_the_account_before_is_read_and_booked(job: Job) -> None:
    (entry,) = read(transfer("300.00", text=reference(job)), iban=BEFORE)
    assert entry.state == "matched"
    job.refresh_from_db()
    assert job.state == "deposit_in"


def named(**changes: Any) -> Any:
    factories.make_workshop(tax_number="DE136695976", **changes)
    job = factories.job(factories.evaluation(price=factories.price()), state="ready")
    keep_address(job_id=job.pk, by="customer", address=ADDRESS)
    return issue_invoice(job_id=job.pk, by=None)


@pytest.mark.long
def test_an_invoice_is_of_the_name_that_is_registered() -> None:
    made = named(name="Sommerräder", legal_name=LEGAL)
    xml = as_xml(made)
    seller = etree.fromstring(xml).find(".//ram:SellerTradeParty", NAMES)
    assert seller.findtext("ram:Name", namespaces=NAMES) == LEGAL
    assert seller.findtext(".//ram:TradingBusinessName", namespaces=NAMES) == "Sommerräder"
    assert broken_rules(xml) == []
    text = " ".join(
        PdfReader(io.BytesIO(open_paper(kind="invoice", about=made).data)).pages[0].extract_text().split()
    )
    assert "Sommerräder" in text
    assert LEGAL in text
    assert invoice(made)["pay"]["qr"]  # though the code's field holds 70 letters and the name has more


def test_a_name_that_is_registered_as_it_is_known_is_told_once() -> None:
    made = named(legal_name="Dull Workshop")
    assert "Dull Workshop ·" not in invoice(made)["workshop"]["address"]
    assert b"TradingBusinessName" not in as_xml(made)
