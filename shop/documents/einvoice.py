"""An invoice as data: EN 16931 in Cross Industry Invoice (UN/CEFACT), and the PDF that carries it.

The XML is written and the PDF is put together by the library factur-x: the paper becomes PDF/A-3 with the
file ``factur-x.xml`` inside, as Factur-X and ZUGFeRD 2 want it, in the profile EN 16931. The library checks
each file against the profile's XML schema before it leaves here. Amounts are the invoice's own, to the cent.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from facturx import generate_cii_xml, generate_from_binary

from shop.money.models import Invoice

from .content.invoice import no_tax_words

PROFILE = "en16931"
INVOICE, CREDIT_NOTE = "380", "381"
"""Type codes of UNTDID 1001 (BT-3)."""
PIECE = "C62"
"""One, in UN/ECE Recommendation 20 (BT-130)."""
SEPA_TRANSFER, TRANSFER = "58", "30"
"""Payment means of UNTDID 4461 (BT-81)."""
STANDARD, EXEMPT = "S", "E"
"""VAT categories of UNTDID 5305."""


def as_xml(invoice: Invoice) -> bytes:
    """Return the invoice as Cross Industry Invoice XML, checked against the schema of its profile.

    Raises ``ValueError`` (or the library's own error) when a value does not fit the schema.
    """
    # Business rules need XSLT 2.0, which stays with the tests; the schema is checked here.
    return bytes(generate_cii_xml(_terms(invoice), level=PROFILE, check_xsd=True, check_schematron=None))


def with_xml(pdf: bytes, invoice: Invoice) -> bytes:
    """Return a PDF/A-3 of the paper that carries the invoice's XML."""
    content = invoice.content
    title = f"{content['seller']['name']}: {invoice.number}"
    return bytes(
        generate_from_binary(
            pdf,
            as_xml(invoice),
            flavor="factur-x",
            level=PROFILE,
            check_xsd=False,
            pdf_metadata={
                "author": content["seller"]["name"],
                "keywords": "EN 16931",
                "title": title,
                "subject": f"{invoice.number}, {invoice.issued_on.isoformat()}",
            },
            lang=content["language"],
            afrelationship="alternative",
            xmp_compression=False,
        )
    )


def _terms(invoice: Invoice) -> dict[str, Any]:
    """Return the invoice by the business terms (BT) and groups (BG) of EN 16931-1."""
    content = invoice.content
    found = {
        "BT-1": invoice.number,
        "BT-2": invoice.issued_on,
        "BT-3": INVOICE if invoice.kind == Invoice.Kind.INVOICE else CREDIT_NOTE,
        "BT-5": invoice.currency,
        "BT-14": content["job"],
        "BT-72": invoice.supplied_on,
        "BG-1": [{"BT-22": note} for note in (content["vehicle"], content["why"]) if note],
        "BG-4": _seller(content["seller"]),
        "BG-7": _buyer(content["buyer"]),
        "BG-25": [_line(position, line, invoice) for position, line in enumerate(content["lines"], start=1)],
        "BG-20": [_reduction(line, invoice) for line in content["reductions"]],
        "BG-23": [_tax(invoice)],
        **_payment(invoice),
        **_totals(invoice),
    }
    if invoice.corrects:
        found["BG-3"] = [{"BT-25": invoice.corrects.number, "BT-26": invoice.corrects.issued_on}]
    return found


def _seller(seller: dict[str, str]) -> dict[str, Any]:
    number = seller["tax_number"].replace(" ", "")
    # A VAT identifier begins with its country's letters (BR-CO-09); anything else is a tax number.
    if number[:2].isalpha():
        numbers: dict[str, Any] = {"vat_identifier": number}
    else:
        # Without a VAT identifier the seller needs another by which to be known (BR-CO-26).
        numbers = {"tax_identifier": number, "identifiers": {None: number}}
    names = {"name": seller.get("legal_name") or seller["name"]}
    if names["name"] != seller["name"]:
        # BT-27 is the name that is registered, BT-28 the one by which it is known.
        names["biz_name"] = seller["name"]
    return {
        **names,
        **_place(seller),
        **numbers,
        "contacts": [{"name": seller["name"], "phone": seller["phone"], "email": seller["email"]}],
    }


def _buyer(buyer: dict[str, str]) -> dict[str, Any]:
    found = {"name": buyer["name"], **_place(buyer)}
    if buyer["extra"]:
        found["addr_l2"] = buyer["extra"]
    if buyer["vat_id"]:
        found["vat_identifier"] = buyer["vat_id"]
    return found


def _place(party: dict[str, str]) -> dict[str, str]:
    return {
        "addr_l1": party["street"],
        "postcode": party["postcode"],
        "city": party["town"],
        "country_code": party["country"],
    }


def _category(invoice: Invoice) -> str:
    return STANDARD if invoice.tax_rate_pct else EXEMPT


def _line(position: int, line: dict[str, str], invoice: Invoice) -> dict[str, Any]:
    found = {
        "BT-126": str(position),
        "BT-129": "1",
        "BT-130": PIECE,
        "BT-131": line["net"],
        "BT-146": line["net"],
        "BT-151": _category(invoice),
        "BT-152": f"{invoice.tax_rate_pct:.2f}",
        "BT-153": line["label"],
    }
    if line["detail"]:
        found["BT-154"] = line["detail"]
    return found


def _reduction(line: dict[str, str], invoice: Invoice) -> dict[str, Any]:
    return {
        "amount": line["net"],
        "reason": line["label"],
        "vat_category_code": _category(invoice),
        "vat_rate": f"{invoice.tax_rate_pct:.2f}",
    }


def _tax(invoice: Invoice) -> dict[str, Any]:
    found = {
        "BT-116": f"{invoice.net:.2f}",
        "BT-117": f"{invoice.tax:.2f}",
        "BT-118": _category(invoice),
        "BT-119": f"{invoice.tax_rate_pct:.2f}",
    }
    if not invoice.tax_rate_pct:
        found["BT-120"] = no_tax_words(invoice)
    return found


def _payment(invoice: Invoice) -> dict[str, Any]:
    seller = invoice.content["seller"]
    found = {
        "BT-81": SEPA_TRANSFER if invoice.currency == "EUR" else TRANSFER,
        "BT-83": invoice.content["reference"],
        "BT-84": seller["iban"].replace(" ", ""),
    }
    if invoice.due > 0:
        # BR-CO-25: what is to be paid needs a day or terms.
        found["BT-9"] = invoice.issued_on
    return found


def _totals(invoice: Invoice) -> dict[str, str]:
    lines, off = (
        sum((Decimal(line["net"]) for line in invoice.content[name]), Decimal("0.00"))
        for name in ("lines", "reductions")
    )
    found = {
        "BT-106": lines,
        "BT-109": invoice.net,
        "BT-110": invoice.tax,
        "BT-112": invoice.net + invoice.tax,
        "BT-113": invoice.prepaid,
        "BT-115": invoice.net + invoice.tax + invoice.rounding - invoice.prepaid,
    }
    if off:
        found["BT-107"] = off
    if invoice.rounding:
        found["BT-114"] = invoice.rounding
    return {term: f"{amount:.2f}" for term, amount in found.items()}
