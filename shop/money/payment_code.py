"""The payment code for what a job's customer is asked to pay, as pages and papers show it."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

from .epc import NAME_MAX, EpcError, epc_payload, qr_png, qr_svg
from .models import DepositRequest
from .payee import Payee


def payment_code(
    request: DepositRequest, amount: Decimal, payee: Payee | None = None
) -> tuple[str | None, str]:
    """Return the payment code for what is still to pay as SVG, or nothing and why there is none.

    It is to be paid to ``payee``, such as an invoice has frozen it, else to the account of today.
    """
    try:
        return qr_svg(
            _payload(request, amount, payee or request.pay_to), title=_("Payment code for your bank's app")
        ), ""
    except EpcError as error:
        return None, _("No payment code: %(why)s") % {"why": error}


def payment_picture(request: DepositRequest, amount: Decimal) -> bytes | None:
    """Return the same code as PNG, or nothing where there can be none."""
    try:
        return qr_png(_payload(request, amount, request.pay_to))
    except EpcError:
        return None


def _payload(request: DepositRequest, amount: Decimal, payee: Payee) -> str:
    return epc_payload(
        # A longer name is cut by whoever transfers, as by the payer's bank: the account decides.
        name=payee.get("name", "")[:NAME_MAX],
        iban=payee.get("iban", ""),
        bic=payee.get("bic", ""),
        amount=amount,
        currency=request.currency,
        reference=request.reference,
    )
