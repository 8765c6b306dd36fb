"""A purchase order as UBL 2.1 Order (ISO/IEC 19845:2015), element order as in the standard's schema."""

from __future__ import annotations

import re
from decimal import Decimal

from django.utils import timezone
from lxml import etree

from configurator.catalogue import workshop as workshops

from .csv_export import details
from .models import PurchaseLine, PurchaseOrder

ORDER = "urn:oasis:names:specification:ubl:schema:xsd:Order-2"
CAC = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
CBC = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
# UN/ECE Recommendation 20, codes for units of measure.
UNIT_CODES = {"each": "EA", "m": "MTR", "l": "LTR", "g": "GRM"}
# What XML 1.0 cannot hold.
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")


def order_ubl(order: PurchaseOrder) -> bytes:
    """Return the order as an XML document, UTF-8."""
    root = etree.Element(f"{{{ORDER}}}Order", nsmap={None: ORDER, "cac": CAC, "cbc": CBC})
    lines = list(order.lines.all())
    placed = timezone.localtime(order.placed_at)
    _put(root, "UBLVersionID", "2.1")
    _put(root, "ID", order.number)
    _put(root, "IssueDate", placed.date().isoformat())
    _put(root, "IssueTime", placed.time().replace(microsecond=0).isoformat())
    if order.note:
        _put(root, "Note", order.note)
    _put(root, "DocumentCurrencyCode", order.currency)
    _put(root, "LineCountNumeric", str(len(lines)))
    _buyer(root, order)
    _seller(root, order)
    _amount(_group(root, "AnticipatedMonetaryTotal"), order)
    for line in lines:
        _line(root, line, order.currency)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _put(parent: etree._Element, name: str, text: str, **attributes: str) -> None:
    etree.SubElement(parent, f"{{{CBC}}}{name}", attributes).text = _NOT_XML.sub(" ", text)


def _group(parent: etree._Element, *path: str) -> etree._Element:
    for name in path:
        parent = etree.SubElement(parent, f"{{{CAC}}}{name}")
    return parent


def _buyer(root: etree._Element, order: PurchaseOrder) -> None:
    workshop = workshops.current()
    group = _group(root, "BuyerCustomerParty")
    if order.customer_number:
        _put(group, "SupplierAssignedAccountID", order.customer_number)
    party = _group(group, "Party")
    if workshop is None:
        return
    _put(_group(party, "PartyName"), "Name", workshop.name)
    _address(party, workshop.street, workshop.town, workshop.postcode, workshop.country)
    contact = _group(party, "Contact")
    if workshop.phone:
        _put(contact, "Telephone", workshop.phone)
    _put(contact, "ElectronicMail", workshop.email)


def _seller(root: etree._Element, order: PurchaseOrder) -> None:
    party = _group(root, "SellerSupplierParty", "Party")
    _put(_group(party, "PartyName"), "Name", order.supplier_name)
    told = order.supplier_address
    if told.get("town"):
        _address(
            party, told.get("street", ""), told["town"], told.get("postcode", ""), told.get("country", "")
        )
    if told.get("email"):
        _put(_group(party, "Contact"), "ElectronicMail", told["email"])


def _address(party: etree._Element, street: str, town: str, postcode: str, country: str) -> None:
    address = _group(party, "PostalAddress")
    for name, text in (("StreetName", street), ("CityName", town), ("PostalZone", postcode)):
        if text:
            _put(address, name, text)
    if country:
        _put(_group(address, "Country"), "IdentificationCode", country)


def _amount(total: etree._Element, order: PurchaseOrder) -> None:
    for name in ("LineExtensionAmount", "TaxExclusiveAmount", "PayableAmount"):
        _put(total, name, f"{order.total_net:.2f}", currencyID=order.currency)


def _line(root: etree._Element, line: PurchaseLine, currency: str) -> None:
    item = _group(root, "OrderLine", "LineItem")
    unit = UNIT_CODES[line.unit]
    _put(item, "ID", str(line.position))
    _put(item, "Quantity", _plain(line.quantity), unitCode=unit)
    _put(item, "LineExtensionAmount", f"{line.amount_net:.2f}", currencyID=currency)
    _put(item, "PartialDeliveryIndicator", "true")
    if line.need_by:
        _put(_group(item, "Delivery", "RequestedDeliveryPeriod"), "EndDate", line.need_by.isoformat())
    price = _group(item, "Price")
    _put(price, "PriceAmount", _plain(line.unit_cost_net), currencyID=currency)
    _put(price, "BaseQuantity", "1", unitCode=unit)
    _item(_group(item, "Item"), line)


def _item(item: etree._Element, line: PurchaseLine) -> None:
    if line.facts:
        _put(item, "Description", details(line.facts))
    _put(item, "PackSizeNumeric", _plain(line.pack_size))
    _put(item, "Name", line.name)
    _put(_group(item, "BuyersItemIdentification"), "ID", line.item)
    if line.supplier_ref:
        _put(_group(item, "SellersItemIdentification"), "ID", line.supplier_ref)


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
