"""Orders held against the published rules of Peppol BIS Ordering 3 (OpenPEPPOL/poacc-upgrade-3, T01).

``KERBLINE_PEPPOL_RULES=FOLDER`` names a clone of that repository: its licence and size keep it out of ours.
Its own unit files prove that the rules run as the publisher means them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from lxml import etree

from shop.models import PurchaseOrder
from shop.parts.ubl import not_peppol, order_ubl

from .orders import SUPPLIER, order
from .peppol import NAMESPACES, broken_rules, structure_faults
from .test_ubl_whole import workshop

FOLDER = Path(os.environ.get("KERBLINE_PEPPOL_RULES", ""))
THERE = (FOLDER / "rules" / "sch" / "PEPPOLBIS-T01.sch").exists()
TESTS = "{http://difi.no/xsd/vefa/validator/1.0}"
pytestmark = pytest.mark.skipif(not THERE, reason="KERBLINE_PEPPOL_RULES names no clone of the rules")


def published_cases() -> Iterator[tuple[str, etree._Element]]:
    for path in sorted((FOLDER / "rules" / "unit-order").glob("*.xml")) if THERE else ():
        yield from (
            (f"{path.stem}-{number}", case)
            for number, case in enumerate(etree.parse(path).iterfind(f"{TESTS}test"), start=1)
        )


CASES = dict(published_cases())


@pytest.mark.parametrize("name", CASES)
def test_the_rules_say_what_their_publisher_expects(name: str) -> None:
    case = CASES[name]
    document = next(one for one in case if etree.QName(one).namespace == NAMESPACES["ubl"])
    told = {one.id: one.flag for one in broken_rules(FOLDER, etree.tostring(document))}
    for wanted in case.find(f"{TESTS}assert"):
        kind, rule = etree.QName(wanted).localname, str(wanted.text).strip()
        if kind == "success":
            assert rule not in told
        else:
            assert told.get(rule) == ("fatal" if kind == "error" else kind)


def test_the_publishers_own_example_is_built_as_it_says() -> None:
    example = (FOLDER / "rules" / "examples" / "Order_Example.xml").read_bytes()
    assert structure_faults(FOLDER, example) == []
    assert [one for one in broken_rules(FOLDER, example) if one.flag == "fatal"] == []


def made(**changes: object) -> PurchaseOrder:
    workshop()
    return order(**changes)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"tax_rate_pct": 0},
        {"tax_rate_pct": None},
        {"note": ""},
        {"customer_number": ""},
        {"currency": "CHF"},
        {"supplier_address": SUPPLIER | {"street": "", "postcode": "", "town": "", "email": ""}},
        {"supplier_address": SUPPLIER | {"legal_name": ""}},
        {"deliver_to": {}},
    ],
    ids=str,
)
def test_our_orders_keep_the_published_rules(changes: dict[str, object]) -> None:
    found = made(**changes)
    assert not_peppol(found) == []
    written = order_ubl(found)
    assert structure_faults(FOLDER, written) == []
    assert [one for one in broken_rules(FOLDER, written) if one.flag == "fatal"] == []


@pytest.mark.django_db
def test_a_wrong_sum_and_an_unknown_unit_are_found() -> None:
    tree = etree.fromstring(order_ubl(made()))
    amount = tree.find(".//cac:OrderLine/cac:LineItem/cbc:LineExtensionAmount", NAMESPACES)
    quantity = tree.find(".//cac:OrderLine/cac:LineItem/cbc:Quantity", NAMESPACES)
    assert amount is not None
    assert quantity is not None
    amount.text = "1.00"
    quantity.set("unitCode", "WHEEL")
    written = etree.tostring(tree)
    assert {one.id for one in broken_rules(FOLDER, written)} >= {"PEPPOL-T01-R008", "PEPPOL-T01-R024"}
    assert any("WHEEL is no code of" in one for one in structure_faults(FOLDER, written))
