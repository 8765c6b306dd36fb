"""The invoice as data and as PDF/A-3, judged by the published schema and rules and read by other readers."""

from __future__ import annotations

import io
from decimal import Decimal

import facturx
import pytest
from django.utils import timezone
from lxml import etree
from pypdf import PdfReader

from shop.documents.einvoice import as_xml
from shop.documents.service import open_paper
from shop.models import Invoice, Job, Paper
from shop.money.addresses import keep_address
from shop.money.invoices import credit_invoice, issue_invoice
from shop.money.ledger import book_payment
from shop.money.reductions import reduce_price
from tests.shop import factories

from .business_rules import broken_rules

pytestmark = pytest.mark.django_db
ADDRESS = {"name": "Jörg <Sommer> & Söhne", "extra": "c/o Anna", "street": "Am Anger 2", "postcode": "50667",
           "town": "Köln", "country": "DE", "vat_id": "DE136695976"}  # fmt: skip
NAMES = {"ram": "urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100"}


def invoiced(
    total: str = "1190.00", *, paid: str = "300.00", off: str = "", language: str = "en-gb"
) -> Invoice:
    factories.make_workshop(tax_number="DE136695976", currency="EUR")
    job = factories.job(factories.evaluation(price=factories.price(total, "0.00")), state="ready")
    job.revision.language = language
    job.revision.save()
    keep_address(job_id=job.pk, by="customer", address=ADDRESS)
    if paid:
        today = timezone.localdate()
        book_payment(job_id=job.pk, amount=Decimal(paid), received_on=today, method="cash", by=None)
    if off:
        reduce_price(job_id=job.pk, amount=Decimal(off), why="goodwill", by=None, press="a")
    return issue_invoice(job_id=job.pk, by=None)


def figure(xml: bytes, name: str) -> Decimal:
    return Decimal(etree.fromstring(xml).findtext(f".//ram:{name}", namespaces=NAMES))


@pytest.mark.long
@pytest.mark.parametrize(
    ("total", "paid", "off"),
    [
        ("1190.00", "300.00", ""),
        ("1190.00", "", "10.01"),
        ("1190.00", "1200.00", ""),  # overpaid: the amount due is below nothing
        ("0.03", "", ""),  # not reachable by any net amount: a cent of rounding
        ("2395.66", "718.70", "95.66"),
    ],
)
def test_no_rule_of_en_16931_is_broken(total: str, paid: str, off: str) -> None:
    """Schema and business rules (BR, BR-CO, BR-S, BR-CL) as published for the profile EN 16931."""
    invoice = invoiced(total, paid=paid, off=off)
    xml = as_xml(invoice)

    assert facturx.xml_check_xsd(xml, flavor="factur-x", level="en16931")
    assert broken_rules(xml) == []
    # What the customer pays is what was agreed, to the cent.
    due = Decimal(total) - Decimal(off or 0) - Decimal(paid or 0)
    assert figure(xml, "DuePayableAmount") == due


def test_a_credit_note_names_what_it_corrects_and_breaks_no_rule() -> None:
    invoice = invoiced()
    note = credit_invoice(invoice_id=invoice.pk, by=factories.staff("manager"), why="wrong name")
    xml = as_xml(note)
    assert broken_rules(xml) == []
    assert b"<ram:TypeCode>381</ram:TypeCode>" in xml or b">381<" in xml
    assert etree.fromstring(xml).findtext(
        ".//ram:InvoiceReferencedDocument/ram:IssuerAssignedID", namespaces=NAMES
    ) == invoice.number  # fmt: skip


def test_the_rules_notice_a_wrong_sum() -> None:
    """The twin: were nothing found in spoiled data either, the tests above would prove nothing."""
    xml = as_xml(invoiced()).replace(b"<ram:GrandTotalAmount>1190.00", b"<ram:GrandTotalAmount>1191.00")
    assert any("BR-CO-15" in text for text in broken_rules(xml))


def test_without_tax_the_category_says_so() -> None:
    factories.make_workshop(tax_number="214/5082/0816", tax_rate_pct=0)
    price = factories.price().model_copy(
        update={"tax_rate_pct": Decimal(0), "net": Decimal(1190), "tax": Decimal(0)}
    )
    job = factories.job(factories.evaluation(price=price), state="ready")
    keep_address(job_id=job.pk, by="customer", address=ADDRESS)
    xml = as_xml(issue_invoice(job_id=job.pk, by=None))
    assert broken_rules(xml) == []
    assert b'<ram:ID schemeID="FC">214/5082/0816' in xml


def test_the_paper_is_pdf_a_3_and_other_readers_find_the_data_in_it() -> None:
    invoice = invoiced()
    data = open_paper(kind="invoice", about=invoice).data
    reader = PdfReader(io.BytesIO(data))

    (found,) = reader.attachments["factur-x.xml"]
    name, again = facturx.get_facturx_xml_from_pdf(data, check_xsd=True)
    assert (name, again) == ("factur-x.xml", found)
    assert found == as_xml(invoice)
    assert broken_rules(found) == []
    root = reader.trailer["/Root"]
    metadata = root["/Metadata"].get_data().decode()
    for said in ("<pdfaid:part>3<", "<fx:ConformanceLevel>EN 16931<", "<fx:DocumentFileName>factur-x.xml<"):
        assert said in metadata
    assert root["/OutputIntents"]
    assert root["/AF"][0].get_object()["/AFRelationship"] == "/Alternative"
    assert reader.trailer["/ID"]
    fonts = [font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()]
    embedded = [font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object() for font in fonts]
    assert all({"/FontFile2", "/FontFile3"} & set(each) for each in embedded)


def text_of(invoice: Invoice) -> str:
    reader = PdfReader(io.BytesIO(open_paper(kind="invoice", about=invoice).data))
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def test_the_paper_says_what_the_law_asks_for() -> None:
    invoice = invoiced(off="10.00")
    text = text_of(invoice)
    for wanted in (
        f"Invoice {invoice.number}", "Jörg <Sommer> & Söhne", "Am Anger 2", "50667 Köln", "Mill Lane 1",
        "DE136695976", "Date of supply", "4 × Wheel A 8 x 18", "€991.60", "VAT 19 %", "€188.40", "€1,180.00",
        "−€300.00", "€880.00", "Page 1 / 1",
    ):  # fmt: skip
        assert wanted in text, wanted


def test_in_german_it_is_german() -> None:
    text = text_of(invoiced(language="de"))
    for wanted in ("Rechnung R-", "Leistungsdatum", "USt. 19 %", "1.190,00", "Zu zahlen", "Sofort zahlbar"):
        assert wanted in text, wanted


def test_the_paper_that_was_made_first_stands() -> None:
    invoice = invoiced()
    first = open_paper(kind="invoice", about=invoice).data
    Job.objects.update(number="K-1999-0001")
    Paper.objects.update(digest="another look")
    assert open_paper(kind="invoice", about=invoice).data == first
