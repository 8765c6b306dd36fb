"""The payment code of EPC069-12 (European Payments Council, version 2.1): payload and QR picture.

Limits of the guideline: 331 bytes, QR version 13, error correction M, euro only, one of structured
reference and free text.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from decimal import Decimal

import segno
from django.utils.translation import gettext as _
from stdnum import bic as bic_number
from stdnum import iban as iban_number

from .references import is_valid_reference

MAX_BYTES = 331
MAX_VERSION = 13
MAX_AMOUNT = Decimal("999999999.99")
NAME_MAX, TEXT_MAX = 70, 140


class EpcError(ValueError):
    """No payment code can be made; ``str(error)`` says why."""


def epc_payload(
    *,
    name: str,
    iban: str,
    amount: Decimal,
    currency: str = "EUR",
    bic: str = "",
    reference: str = "",
    text: str = "",
) -> str:
    """Return the payload for a credit transfer with a structured reference or a free text.

    Raises ``EpcError`` for another currency, an amount out of range, a wrong IBAN, BIC or reference,
    both reference and text, or more than 331 bytes.
    """
    name, text = " ".join(name.split()), " ".join(text.split())
    iban, bic = iban.replace(" ", "").upper(), bic.replace(" ", "").upper()
    reference = reference.replace(" ", "").upper()
    for message in _wrong(name, iban, amount, currency, bic, reference, text):
        raise EpcError(message)
    # 1 as character set is UTF-8; version 002 lets the BIC be empty; the purpose stays empty.
    lines = ["BCD", "002", "1", "SCT", bic, name, iban, f"EUR{amount:.2f}", "", reference, text]
    payload = "\n".join(lines).rstrip("\n")
    if len(payload.encode()) > MAX_BYTES:
        raise EpcError(_("The payment code would be longer than %(most)s bytes.") % {"most": MAX_BYTES})
    return payload


def _wrong(
    name: str, iban: str, amount: Decimal, currency: str, bic: str, reference: str, text: str
) -> Iterator[str]:
    """Yield what keeps a transfer from having a payment code."""
    if currency != "EUR":
        yield _("A payment code is for euro only, not %(currency)s.") % {"currency": currency}
    if not Decimal("0.01") <= amount <= MAX_AMOUNT:
        yield _("%(amount)s is not an amount that can be transferred.") % {"amount": amount}
    if not iban_number.is_valid(iban, check_country=False):
        yield _("The workshop’s IBAN is not valid.")
    if bic and not bic_number.is_valid(bic):
        yield _("The workshop’s BIC is not valid.")
    if not 1 <= len(name) <= NAME_MAX:
        yield _("The payee’s name must have 1 to %(most)s characters.") % {"most": NAME_MAX}
    if reference and not is_valid_reference(reference):
        yield _("The reference is not valid under ISO 11649.")
    if reference and text:
        yield _("A payment code carries a reference or a text, not both.")
    if len(text) > TEXT_MAX:
        yield _("The text must have at most %(most)s characters.") % {"most": TEXT_MAX}


def epc_qr(payload: str) -> segno.QRCode:
    """Return the QR symbol: level M, version as small as it goes, never above 13."""
    symbol = segno.make(payload, error="m", micro=False, boost_error=False, encoding="utf-8", mode="byte")
    if int(symbol.version) > MAX_VERSION:
        raise EpcError(
            _("The payment code needs QR version %(needed)s; %(most)s is the most allowed.")
            % {"needed": symbol.version, "most": MAX_VERSION}
        )
    return symbol


def qr_svg(payload: str, *, title: str) -> str:
    """Return the symbol as inline SVG with the quiet zone of four modules that the standard asks for.

    It has a view box and no size: the page or paper it stands on gives it one.
    """
    out = io.BytesIO()
    epc_qr(payload).save(
        out, kind="svg", border=4, xmldecl=False, svgns=True, title=title, omitsize=True, light="#fff"
    )
    return out.getvalue().decode()


PICTURE_SCALE = 12
"""Pixels a module: a symbol of version 6 with its quiet zone is then 588 pixels wide."""


def qr_png(payload: str) -> bytes:
    """Return the symbol as PNG with its quiet zone, black on white, for a bank's app to read from a photo."""
    out = io.BytesIO()
    epc_qr(payload).save(out, kind="png", border=4, scale=PICTURE_SCALE)
    return out.getvalue()
