"""An order as data, whole: every element, as the standard and the BIS have it.

The elements are those of the transaction Order of Peppol BIS Ordering 3, in the order of UBL 2.1
(ISO/IEC 19845:2015); units are codes of UN/ECE Recommendation 20 and tax categories of UNCL 5305.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from lxml import etree

from shop.models import PurchaseOrder
from shop.parts.ubl import CAC, CBC, ORDER, not_peppol, order_ubl
from tests.shop import factories

from .orders import SUPPLIER, order

pytestmark = pytest.mark.django_db


def workshop(**changes: Any) -> None:
    factories.make_workshop(
        **{
            "name": "Werkhof & Söhne",
            "legal_name": "Werkhof & Söhne GmbH",
            "street": "Am Anger 1",
            "postcode": "12345",
            "town": "Anderswo",
            "country": "DE",
            "tax_number": "DE123456789",
            "endpoint": "9930:DE123456789",
            "phone": "+49 30 23125 100",
            "email": "desk@werkhof.example",
        }
        | changes
    )


def written(made: PurchaseOrder) -> list[str]:
    """Return every element that holds no other: its path, attributes and text, in order."""
    root = etree.fromstring(order_ubl(made))
    assert root.tag == f"{{{ORDER}}}Order"
    leaves = [leaf for leaf in root.iter() if not len(leaf)]
    assert {etree.QName(leaf).namespace for leaf in leaves if leaf.text} == {CBC}
    assert {etree.QName(each).namespace for each in root.iter() if len(each) and each is not root} == {CAC}
    return [f"{path(leaf)}{attributes(leaf)}: {leaf.text}" for leaf in leaves]


def path(leaf: etree._Element) -> str:
    names = [etree.QName(each).localname for each in (leaf, *leaf.iterancestors())]
    return "/".join(names[-2::-1])


def attributes(leaf: etree._Element) -> str:
    return "".join(f" {name}={value}" for name, value in leaf.attrib.items())


HEAD = [
    "CustomizationID: urn:fdc:peppol.eu:poacc:trns:order:3",
    "ProfileID: urn:fdc:peppol.eu:poacc:bis:ordering:3",
]
BUYER = "BuyerCustomerParty/Party"
SELLER = "SellerSupplierParty/Party"
ITEM = "OrderLine/LineItem"
WHOLE = [
    *HEAD,
    "ID: PO-1",
    "IssueDate: 2026-06-02",
    "IssueTime: 00:30:05",
    "Note: Ring at <gate> 2 ",
    "DocumentCurrencyCode: EUR",
    f"{BUYER}/EndpointID schemeID=9930: DE123456789",
    f"{BUYER}/PartyIdentification/ID: K-1",
    f"{BUYER}/PartyName/Name: Werkhof & Söhne",
    f"{BUYER}/PostalAddress/StreetName: Am Anger 1",
    f"{BUYER}/PostalAddress/CityName: Anderswo",
    f"{BUYER}/PostalAddress/PostalZone: 12345",
    f"{BUYER}/PostalAddress/Country/IdentificationCode: DE",
    f"{BUYER}/PartyTaxScheme/CompanyID: DE123456789",
    f"{BUYER}/PartyTaxScheme/TaxScheme/ID: VAT",
    f"{BUYER}/PartyLegalEntity/RegistrationName: Werkhof & Söhne GmbH",
    f"{BUYER}/Contact/Telephone: +49 30 23125 100",
    f"{BUYER}/Contact/ElectronicMail: desk@werkhof.example",
    f"{SELLER}/EndpointID schemeID=0184: DK12345678",
    f"{SELLER}/PartyName/Name: Northwheel",
    f"{SELLER}/PostalAddress/StreetName: Kanal 5",
    f"{SELLER}/PostalAddress/CityName: Elsewhere",
    f"{SELLER}/PostalAddress/PostalZone: 4711",
    f"{SELLER}/PostalAddress/Country/IdentificationCode: DK",
    f"{SELLER}/PartyLegalEntity/RegistrationName: Northwheel ApS",
    f"{SELLER}/Contact/ElectronicMail: orders@northwheel.example",
    "Delivery/DeliveryLocation/Name: Gate 2",
    "Delivery/DeliveryLocation/Address/StreetName: Am Anger 3",
    "Delivery/DeliveryLocation/Address/CityName: Anderswo",
    "Delivery/DeliveryLocation/Address/PostalZone: 12346",
    "Delivery/DeliveryLocation/Address/Country/IdentificationCode: DE",
    # 445.85 at 19 per cent is 84.7115.
    "TaxTotal/TaxAmount currencyID=EUR: 84.71",
    "AnticipatedMonetaryTotal/LineExtensionAmount currencyID=EUR: 445.85",
    "AnticipatedMonetaryTotal/TaxExclusiveAmount currencyID=EUR: 445.85",
    "AnticipatedMonetaryTotal/TaxInclusiveAmount currencyID=EUR: 530.56",
    "AnticipatedMonetaryTotal/PayableAmount currencyID=EUR: 530.56",
    f"{ITEM}/ID: 1",
    f"{ITEM}/Quantity unitCode=EA: 4",
    f"{ITEM}/LineExtensionAmount currencyID=EUR: 440.00",
    f"{ITEM}/PartialDeliveryIndicator: true",
    f"{ITEM}/Delivery/RequestedDeliveryPeriod/EndDate: 2026-06-10",
    f"{ITEM}/Price/PriceAmount currencyID=EUR: 110",
    f"{ITEM}/Price/BaseQuantity unitCode=EA: 1",
    f"{ITEM}/Item/Description: finish gloss black, bore 66.6 mm",
    f"{ITEM}/Item/Name: Wheel A 8 x 18",
    f"{ITEM}/Item/BuyersItemIdentification/ID: wheel-a",
    f"{ITEM}/Item/SellersItemIdentification/ID: NW-8018",
    f"{ITEM}/Item/ClassifiedTaxCategory/ID: S",
    f"{ITEM}/Item/ClassifiedTaxCategory/Percent: 19",
    f"{ITEM}/Item/ClassifiedTaxCategory/TaxScheme/ID: VAT",
    f"{ITEM}/Item/AdditionalItemProperty/Name: Pack size",
    f"{ITEM}/Item/AdditionalItemProperty/Value: 1 EA",
    f"{ITEM}/ID: 2",
    f"{ITEM}/Quantity unitCode=GRM: 60",
    f"{ITEM}/LineExtensionAmount currencyID=EUR: 5.85",
    f"{ITEM}/PartialDeliveryIndicator: true",
    f"{ITEM}/Price/PriceAmount currencyID=EUR: 0.0975",
    f"{ITEM}/Price/BaseQuantity unitCode=GRM: 1",
    f"{ITEM}/Item/Name: Grease",
    f"{ITEM}/Item/BuyersItemIdentification/ID: grease",
    f"{ITEM}/Item/ClassifiedTaxCategory/ID: S",
    f"{ITEM}/Item/ClassifiedTaxCategory/Percent: 19",
    f"{ITEM}/Item/ClassifiedTaxCategory/TaxScheme/ID: VAT",
    f"{ITEM}/Item/AdditionalItemProperty/Name: Pack size",
    f"{ITEM}/Item/AdditionalItemProperty/Value: 60 GRM",
]


@pytest.fixture(autouse=True)
def _in_berlin(settings: Any) -> None:
    settings.TIME_ZONE = "Europe/Berlin"


def without(lines: list[str], *starts: str) -> list[str]:
    return [line for line in lines if not line.startswith(starts)]


def test_the_whole_order() -> None:
    workshop()
    made = order()
    assert written(made) == WHOLE
    assert not_peppol(made) == []
    document = order_ubl(made)
    assert document.startswith(b"<?xml version='1.0' encoding='UTF-8'?>\n<Order xmlns=")
    assert "Söhne".encode() in document
    assert b"\n    <cac:Party>" in document  # indented, so that a person can read it


def test_without_a_rate_no_tax_is_told() -> None:
    workshop()
    expected = without(WHOLE, "TaxTotal", f"{ITEM}/Item/ClassifiedTaxCategory")
    expected = without(expected, "AnticipatedMonetaryTotal/TaxInclusiveAmount")
    expected = [line.replace("PayableAmount currencyID=EUR: 530.56", "PayableAmount currencyID=EUR: 445.85")
                for line in expected]  # fmt: skip
    assert written(order(tax_rate_pct=None)) == expected


def test_a_rate_of_nought_is_a_category_of_its_own() -> None:
    workshop()
    found = written(order(tax_rate_pct=Decimal(0)))
    assert found.count(f"{ITEM}/Item/ClassifiedTaxCategory/ID: Z") == 2
    assert f"{ITEM}/Item/ClassifiedTaxCategory/Percent: 0" in found
    assert "TaxTotal/TaxAmount currencyID=EUR: 0.00" in found


def test_what_is_not_known_is_left_out() -> None:
    made = order(supplier_address={}, customer_number="", deliver_to={}, note="")
    expected = without(WHOLE, *HEAD, "Note", f"{BUYER}/", "Delivery")
    expected = without(expected, f"{SELLER}/EndpointID", f"{SELLER}/PostalAddress", f"{SELLER}/Contact")
    expected = [line.replace("Northwheel ApS", "Northwheel") for line in expected]
    expected.insert(expected.index("DocumentCurrencyCode: EUR") + 1, f"{BUYER}: None")
    assert written(made) == expected
    assert not_peppol(made) == [
        "the workshop’s electronic address",
        "the supplier’s electronic address",
        "the supplier’s country",
    ]


def test_parties_with_less() -> None:
    workshop(legal_name="", tax_number="27/123/45678", endpoint="", phone="")
    made = order(
        supplier_address=SUPPLIER | {"legal_name": "", "email": "", "street": "", "endpoint": "0184:"}
    )
    expected = without(WHOLE, *HEAD, f"{BUYER}/EndpointID", f"{BUYER}/PartyTaxScheme", f"{BUYER}/Contact/Tel")
    expected = without(
        expected, f"{SELLER}/EndpointID", f"{SELLER}/PostalAddress/Street", f"{SELLER}/Contact"
    )
    expected = [line.replace(" GmbH", "").replace(" ApS", "") for line in expected]
    assert written(made) == expected
    assert not_peppol(made) == ["the workshop’s electronic address", "the supplier’s electronic address"]


def test_a_country_alone_is_an_address() -> None:
    """Of the seller's postal address the transaction asks for the country alone (T01 structure)."""
    workshop()
    made = order(supplier_address=SUPPLIER | {"street": "", "postcode": "", "town": ""})
    assert f"{SELLER}/PostalAddress/Country/IdentificationCode: DK" in written(made)
    assert not_peppol(made) == []


@pytest.mark.parametrize("whose", ["workshop", "supplier"])
def test_without_a_country_it_is_plain_ubl(whose: str) -> None:
    workshop(country="" if whose == "workshop" else "DE")
    made = order(supplier_address=SUPPLIER | ({"country": ""} if whose == "supplier" else {}))
    assert not_peppol(made) == [f"the {whose}’s country"]
    assert not set(HEAD) & set(written(made))


@pytest.mark.parametrize(("endpoint", "lacks"), [("0184:DK12345678", 0), ("", 1)])
def test_both_addresses_make_it_peppol(endpoint: str, lacks: int) -> None:
    workshop()
    made = order(supplier_address=SUPPLIER | {"endpoint": endpoint})
    assert not_peppol(made) == ["the supplier’s electronic address"][:lacks]
    assert (written(made)[:2] == HEAD) == (not lacks)
