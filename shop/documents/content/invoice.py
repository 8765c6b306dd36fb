"""The invoice and the credit note on paper, in the customer's language, from what was frozen at the issue."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from configurator.pages import told
from configurator.pages.amounts import total_label
from shop.messages.words import money
from shop.money.account import account
from shop.money.models import Invoice
from shop.money.payee import payee_of
from shop.money.payment_code import payment_code
from shop.money.references import in_fours


def invoice(about: Invoice) -> dict[str, Any]:
    """Return what the invoice or credit note says."""
    with translation.override(about.content["language"]):
        return _said(about)


def _said(about: Invoice) -> dict[str, Any]:
    content, seller, buyer = about.content, about.content["seller"], about.content["buyer"]

    def cash(amount: Decimal | str) -> str:
        return money(Decimal(amount), about.currency)

    return {
        "title": _("Credit note") if about.corrects else _("Invoice"),
        "number": about.number,
        "workshop": _header(seller),
        "sender": " · ".join(
            (payee_of(seller)["name"], seller["street"], f"{seller['postcode']} {seller['town']}")
        ),
        "customer": _address(buyer),
        "facts": _facts(about),
        "note": _note(about),
        "head": [_("Position"), _("What"), _("Without tax") if about.tax_rate_pct else _("Amount")],
        "lines": [
            [str(position), line["label"], line["detail"], cash(line["net"])]
            for position, line in enumerate(content["lines"], start=1)
        ],
        "reductions": [[line["label"], f"−{cash(line['net'])}"] for line in content["reductions"]],
        "sums": _sums(about, cash),
        "result": _result(about, cash),
        "pay": _pay(about) if about.due > 0 and not about.corrects else None,
        "tax_note": no_tax_words(about),
    }


def no_tax_words(about: Invoice) -> str:
    """Return why no tax is charged, in the workshop's own words, else that none is; nothing with tax."""
    if about.tax_rate_pct:
        return ""
    with translation.override(about.content["language"]):
        return str(about.content["seller"].get("no_tax_why") or _("No VAT is charged."))


def _header(seller: dict[str, str]) -> dict[str, str]:
    place = f"{seller['postcode']} {seller['town']}"
    number = _("Tax no. %(number)s") % {"number": seller["tax_number"]}
    return {
        "name": seller["name"],
        "address": " · ".join(
            filter(None, (_registered(seller), seller["street"], place, seller["country"]))
        ),
        "contact": " · ".join(filter(None, (seller["phone"], seller["email"], number))),
    }


def _registered(seller: dict[str, str]) -> str:
    """Return the name under which the seller is registered, where it is another than the one told already."""
    legal = seller.get("legal_name", "")
    return legal if legal != seller["name"] else ""


def _address(buyer: dict[str, str]) -> list[str]:
    town = f"{buyer['postcode']} {buyer['town']}"
    rows = [buyer["name"], buyer["extra"], buyer["street"], town, buyer["country"]]
    return [row for row in rows if row]


def _day(value: date) -> str:
    return date_format(value, "j. F Y" if (translation.get_language() or "").startswith("de") else "j F Y")


def _facts(about: Invoice) -> list[list[str]]:
    rows = [
        [_("Date of issue"), _day(about.issued_on)],
        [_("Date of supply"), _day(about.supplied_on)],
        [_("Job"), about.content["job"]],
    ]
    if about.corrects:
        rows.append([_("Corrects invoice"), f"{about.corrects.number}, {_day(about.corrects.issued_on)}"])
    if about.content["vehicle"]:
        rows.append([_("Vehicle"), about.content["vehicle"]])
    if about.content["buyer"]["vat_id"]:
        rows.append([_("Your VAT number"), about.content["buyer"]["vat_id"]])
    return rows


def _note(about: Invoice) -> str:
    return _("Why: %(why)s") % {"why": about.content["why"]} if about.content["why"] else ""


def _sums(about: Invoice, cash: Callable[[Decimal], str]) -> list[list[str]]:
    if not about.tax_rate_pct and not about.rounding:
        return []
    rows = [
        [_("Sum without tax"), cash(about.net)],
        [_("VAT %(rate)s %%") % {"rate": told.number(about.tax_rate_pct)}, cash(about.tax)],
    ]
    if about.rounding:
        rows.append([_("Rounding"), cash(about.rounding)])
    return rows


def _result(about: Invoice, cash: Callable[[Decimal], str]) -> list[list[str]]:
    rows = [[total_label(about.tax_rate_pct), cash(about.gross)]]
    if about.corrects:
        return rows
    if about.prepaid:
        rows.append([_("Deposit and payments, taken off"), f"−{cash(about.prepaid)}"])
    if about.due >= 0:
        rows.append([_("To pay") if about.due else _("Paid in full, thank you"), cash(about.due)])
    else:
        rows.append([_("Goes back to you"), cash(-about.due)])
    return rows


def _pay(about: Invoice) -> dict[str, Any]:
    seller = about.content["seller"]
    request = account(about.job).request
    payee = payee_of(seller)
    code = payment_code(request, about.due, payee)[0] if request else None
    bank = [
        [_("Payee"), payee["name"]],
        [_("IBAN"), in_fours(payee["iban"])],
        [_("BIC"), payee["bic"]],
        [_("Reference"), in_fours(about.content["reference"])],
    ]
    return {
        "words": _(
            "Payable at once, by transfer or at the counter. Please give the reference exactly as printed."
        ),
        "bank": [row for row in bank if row[1]],
        "qr": code,
        "qr_alt": _("Payment code"),
        "qr_words": _("Scan with your bank’s app"),
    }
