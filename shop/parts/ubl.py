"""A purchase order as UBL 2.1 Order (ISO/IEC 19845:2015) as Peppol BIS Ordering 3 writes it.

Elements are those of the BIS's order transaction, in the order of the standard's schema. The BIS asks
for an electronic address of both parties; an order that lacks one is plain UBL 2.1 and does not say that
it keeps to the BIS (``not_peppol`` tells what is missing).
"""

from __future__ import annotations

import re
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import override
from lxml import etree

from configurator.catalogue import workshop as workshops
from configurator.catalogue.models import Workshop

from .csv_export import details, language_of
from .models import PurchaseLine, PurchaseOrder

ORDER = "urn:oasis:names:specification:ubl:schema:xsd:Order-2"
CAC = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
CBC = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
# Peppol BIS Ordering 3, transaction Order: the fixed values of the two identifiers.
CUSTOMIZATION = "urn:fdc:peppol.eu:poacc:trns:order:3"
PROFILE = "urn:fdc:peppol.eu:poacc:bis:ordering:3"
# UN/ECE Recommendation 20, codes for units of measure.
UNIT_CODES = {"each": "EA", "m": "MTR", "l": "LTR", "g": "GRM"}
# What XML 1.0 cannot hold.
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_VAT_NUMBER = re.compile(r"[A-Z]{2}[0-9A-Z+*]{2,13}")  # country and number, as the tax offices write it


def not_peppol(order: PurchaseOrder) -> list[str]:
    """Return in words what the BIS asks for and the records do not have; empty: the order keeps to it."""
    workshop = workshops.current()
    seller = order.supplier_address
    there = {
        _("the workshop’s electronic address"): workshop and workshop.endpoint.partition(":")[2],
        _("the workshop’s country"): workshop is None or workshop.country,
        _("the supplier’s electronic address"): seller.get("endpoint", "").partition(":")[2],
        _("the supplier’s country"): seller.get("country"),
    }
    return [name for name, value in there.items() if not value]


def order_ubl(order: PurchaseOrder) -> bytes:
    """Return the order as an XML document, UTF-8."""
    root = etree.Element(f"{{{ORDER}}}Order", nsmap={None: ORDER, "cac": CAC, "cbc": CBC})
    placed = timezone.localtime(order.placed_at)
    if not not_peppol(order):
        _put(root, "CustomizationID", CUSTOMIZATION)
        _put(root, "ProfileID", PROFILE)
    _put(root, "ID", order.number)
    _put(root, "IssueDate", placed.date().isoformat())
    _put(root, "IssueTime", placed.time().replace(microsecond=0).isoformat())
    if order.note:
        _put(root, "Note", order.note)
    _put(root, "DocumentCurrencyCode", order.currency)
    workshop = workshops.current()
    _buyer(root, order, workshop)
    _seller(root, order)
    _delivery(root, order)
    _totals(root, order)
    for line in order.lines.all():
        _line(root, line, order)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _put(parent: etree._Element, name: str, text: str, **attributes: str) -> None:
    etree.SubElement(parent, f"{{{CBC}}}{name}", attributes).text = _NOT_XML.sub(" ", text)


def _group(parent: etree._Element, *path: str) -> etree._Element:
    for name in path:
        parent = etree.SubElement(parent, f"{{{CAC}}}{name}")
    return parent


def _endpoint(party: etree._Element, endpoint: str) -> None:
    """Write an electronic address, kept as scheme and identifier: ``9930:DE123456789``."""
    scheme, _colon, identifier = endpoint.partition(":")
    if identifier:
        _put(party, "EndpointID", identifier, schemeID=scheme)


def _buyer(root: etree._Element, order: PurchaseOrder, workshop: Workshop | None) -> None:
    party = _group(root, "BuyerCustomerParty", "Party")
    if workshop is not None:
        _endpoint(party, workshop.endpoint)
    if order.customer_number:
        _put(_group(party, "PartyIdentification"), "ID", order.customer_number)
    if workshop is None:
        return
    _put(_group(party, "PartyName"), "Name", workshop.name)
    told = {name: getattr(workshop, name) for name in ("street", "town", "postcode", "country")}
    _address(_group(party, "PostalAddress"), told)
    if _VAT_NUMBER.fullmatch(workshop.tax_number):
        scheme = _group(party, "PartyTaxScheme")
        _put(scheme, "CompanyID", workshop.tax_number)
        _put(_group(scheme, "TaxScheme"), "ID", "VAT")
    _put(_group(party, "PartyLegalEntity"), "RegistrationName", workshop.legal_name or workshop.name)
    contact = _group(party, "Contact")
    if workshop.phone:
        _put(contact, "Telephone", workshop.phone)
    _put(contact, "ElectronicMail", workshop.email)


def _seller(root: etree._Element, order: PurchaseOrder) -> None:
    party = _group(root, "SellerSupplierParty", "Party")
    told = order.supplier_address
    _endpoint(party, told.get("endpoint", ""))
    _put(_group(party, "PartyName"), "Name", order.supplier_name)
    if told.get("town") or told.get("country"):
        _address(_group(party, "PostalAddress"), told)
    legal = told.get("legal_name") or order.supplier_name
    _put(_group(party, "PartyLegalEntity"), "RegistrationName", legal)
    if told.get("email"):
        _put(_group(party, "Contact"), "ElectronicMail", told["email"])


def _address(address: etree._Element, told: dict[str, str]) -> None:
    names = (("StreetName", "street"), ("CityName", "town"), ("PostalZone", "postcode"))
    for name, key in names:
        if told.get(key):
            _put(address, name, told[key])
    if told.get("country"):
        _put(_group(address, "Country"), "IdentificationCode", told["country"])


def _delivery(root: etree._Element, order: PurchaseOrder) -> None:
    place = order.deliver_to
    if place:
        location = _group(root, "Delivery", "DeliveryLocation")
        _put(location, "Name", place.get("name", ""))
        _address(_group(location, "Address"), place)


def _totals(root: etree._Element, order: PurchaseOrder) -> None:
    if order.tax is not None:
        _put(_group(root, "TaxTotal"), "TaxAmount", f"{order.tax:.2f}", currencyID=order.currency)
    total = _group(root, "AnticipatedMonetaryTotal")
    amounts = [("LineExtensionAmount", order.total_net), ("TaxExclusiveAmount", order.total_net)]
    if order.tax is not None:
        amounts.append(("TaxInclusiveAmount", order.total_gross))
    for name, amount in [*amounts, ("PayableAmount", order.total_gross)]:
        _put(total, name, f"{amount:.2f}", currencyID=order.currency)


def _line(root: etree._Element, line: PurchaseLine, order: PurchaseOrder) -> None:
    item = _group(root, "OrderLine", "LineItem")
    unit = UNIT_CODES[line.unit]
    _put(item, "ID", str(line.position))
    _put(item, "Quantity", _plain(line.quantity), unitCode=unit)
    _put(item, "LineExtensionAmount", f"{line.amount_net:.2f}", currencyID=order.currency)
    _put(item, "PartialDeliveryIndicator", "true")
    if line.need_by:
        _put(_group(item, "Delivery", "RequestedDeliveryPeriod"), "EndDate", line.need_by.isoformat())
    price = _group(item, "Price")
    _put(price, "PriceAmount", _plain(line.unit_cost_net), currencyID=order.currency)
    _put(price, "BaseQuantity", "1", unitCode=unit)
    _item(_group(item, "Item"), line, order)


def _item(item: etree._Element, line: PurchaseLine, order: PurchaseOrder) -> None:
    if line.facts:
        with override(language_of(order)):
            _put(item, "Description", details(line.facts))
    _put(item, "Name", line.name)
    _put(_group(item, "BuyersItemIdentification"), "ID", line.item)
    if line.supplier_ref:
        _put(_group(item, "SellersItemIdentification"), "ID", line.supplier_ref)
    if order.tax_rate_pct is not None:
        category = _group(item, "ClassifiedTaxCategory")
        # UNCL 5305: S is the standard rate, Z a rate of nought.
        _put(category, "ID", "S" if order.tax_rate_pct else "Z")
        _put(category, "Percent", _plain(order.tax_rate_pct))
        _put(_group(category, "TaxScheme"), "ID", "VAT")
    # The BIS has no place of its own for the pack.
    told = _group(item, "AdditionalItemProperty")
    _put(told, "Name", "Pack size")
    _put(told, "Value", f"{_plain(line.pack_size)} {unit_of(line)}")


def unit_of(line: PurchaseLine) -> str:
    """Return the code of the line's unit, UN/ECE Recommendation 20."""
    return UNIT_CODES[line.unit]


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
