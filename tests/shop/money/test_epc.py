"""The payment code of EPC069-12 against the guideline's own limits, read back from the QR symbol's data."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from shop.money.epc import MAX_BYTES, EpcError, epc_payload, epc_qr, qr_svg
from shop.money.references import make_reference

GOOD = {
    "name": "Werkhof & Söhne",
    "iban": "DE89 3704 0044 0532 0130 00",
    "bic": "COBADEFFXXX",
    "amount": Decimal("357.5"),
    "reference": make_reference(42),
}


def test_lines_are_those_of_the_guideline() -> None:
    """EPC069-12 v2.1: service tag, version, character set, identification, then the transfer."""
    assert epc_payload(**GOOD).split("\n") == [
        "BCD",
        "002",
        "1",
        "SCT",
        "COBADEFFXXX",
        "Werkhof & Söhne",
        "DE89370400440532013000",
        "EUR357.50",
        "",
        "RF58KL000042",
    ]


def test_free_text_stands_in_line_11_with_an_empty_reference() -> None:
    lines = epc_payload(**(GOOD | {"reference": "", "text": "Deposit\nvan", "bic": ""})).split("\n")

    assert (lines[4], lines[9], lines[10], len(lines)) == ("", "", "Deposit van", 11)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"currency": "CHF"}, "A payment code is for euro only, not CHF."),
        ({"amount": Decimal("0.00")}, "0.00 is not an amount that can be transferred."),
        ({"amount": Decimal("0.009")}, "0.009 is not an amount that can be transferred."),
        ({"amount": Decimal("1000000000.00")}, "1000000000.00 is not an amount that can be transferred."),
        ({"iban": "DE89370400440532013001"}, "The workshop’s IBAN is not valid."),
        ({"bic": "BYLA"}, "The workshop’s BIC is not valid."),
        ({"name": ""}, "The payee’s name must have 1 to 70 characters."),
        ({"name": "x" * 71}, "The payee’s name must have 1 to 70 characters."),
        ({"reference": "RF59KL000042"}, "The reference is not valid under ISO 11649."),
        ({"text": "and a text too"}, "A payment code carries a reference or a text, not both."),
        ({"reference": "", "text": "x" * 141}, "The text must have at most 140 characters."),
        (
            {"name": "ö" * 70, "reference": "", "text": "ü" * 110},
            "The payment code would be longer than 331 bytes.",
        ),
    ],
)
def test_what_the_guideline_forbids_is_refused(wrong: dict[str, object], said: str) -> None:
    with pytest.raises(EpcError) as refusal:
        epc_payload(**(GOOD | wrong))
    assert str(refusal.value) == said


@pytest.mark.parametrize(
    "good",
    [
        {"amount": Decimal("0.01")},
        {"amount": Decimal("999999999.99")},
        {"name": "x"},
        {"name": "x" * 70},
        {"bic": ""},
        {"bic": "cobadeff xxx"},
        {"iban": "de89370400440532013000"},
        {"reference": "rf58 kl00 0042"},
        {"reference": "", "text": "x" * 140},
    ],
)
def test_what_lies_on_the_border_is_taken(good: dict[str, object]) -> None:
    lines = epc_payload(**(GOOD | good)).split("\n")
    assert lines[:4] == ["BCD", "002", "1", "SCT"]
    assert (lines[4], lines[6]) == ("" if good.get("bic") == "" else "COBADEFFXXX", "DE89370400440532013000")
    assert lines[9] == ("" if "text" in good else "RF58KL000042")


def test_a_payload_that_needs_a_larger_symbol_is_refused() -> None:
    with pytest.raises(EpcError) as refusal:
        epc_qr("x" * 500)
    assert str(refusal.value) == "The payment code needs QR version 17; 13 is the most allowed."


@pytest.mark.long
@given(
    st.text(st.characters(exclude_categories=["Cc", "Cs", "Zs", "Zl", "Zp"]), min_size=1, max_size=70),
    st.text(st.characters(exclude_categories=["Cc", "Cs", "Zs", "Zl", "Zp"]), max_size=140),
    st.decimals("0.01", "999999999.99", places=2),
)
def test_every_payload_keeps_the_limits_or_is_refused(name: str, text: str, amount: Decimal) -> None:
    """At most 331 bytes, QR version 13, level M."""
    frame = len(epc_payload(name="x", iban=GOOD["iban"], amount=amount, text="x").encode()) - 2
    size = frame + len(name.encode()) + len(text.encode())
    if size > MAX_BYTES:
        with pytest.raises(EpcError, match="331 bytes"):
            epc_payload(name=name, iban=GOOD["iban"], amount=amount, text=text)
        return
    payload = epc_payload(name=name, iban=GOOD["iban"], amount=amount, text=text)
    symbol = epc_qr(payload)
    assert len(payload.encode()) == size - (0 if text else 3)
    assert (symbol.error, symbol.version <= 13) == ("M", True)


def test_the_longest_payload_fits_version_13_at_level_m() -> None:
    payload = epc_payload(name="x" * 70, iban=GOOD["iban"], amount=Decimal(1), text="y" * 140)
    filled = payload + "z" * (331 - len(payload.encode()))

    assert epc_qr(filled).version == 13


def test_the_picture_is_svg_with_a_title_and_a_quiet_zone() -> None:
    root = etree.fromstring(qr_svg(epc_payload(**GOOD), title="Pay <deposit>"))

    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.findtext("{http://www.w3.org/2000/svg}title") == "Pay <deposit>"
    size = float(root.get("viewBox").split()[2])
    assert size == epc_qr(epc_payload(**GOOD)).symbol_size(border=4)[0]
