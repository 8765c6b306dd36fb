"""MT940 statements, read by the library mt-940; what it leaves as text is taken apart here.

One message is one statement of one account (tags 20 to 62). Tag 86 comes in two dresses: fields parted
by question marks, as German banks write, which the library takes apart, and code words between slashes.
"""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from typing import Any

import mt940
from django.utils.translation import gettext as _

from .entries import MAX_BYTES, BankEntry, Statement, refuse, whole_cents
from .text import decode

FORMAT = "MT940"
_CAME_IN = frozenset({"C", "RD"})
_IBAN = re.compile(r"[A-Z]{2}[0-9]{2}[0-9A-Z]{11,30}")
_CODE_WORD = re.compile(r"/(EREF|BENM|ORDP|REMI|NAME|IBAN|BIC|CSID|MARF|TRTP|ADDR|ISDT|PURP|SVCL|ID|ORCR)/")


def looks_like_mt940(data: bytes) -> bool:
    """Tell whether a file has the tags that every MT940 message starts with."""
    head = data[:4000].replace(b"\x00", b"")
    return bool(re.search(rb"(?m)^:20:", head) and re.search(rb"(?m)^:25:", head))


def read_mt940(data: bytes) -> list[Statement]:
    """Return what an MT940 file tells of each account; raise ``StatementError`` with what is wrong."""
    if len(data) > MAX_BYTES:
        raise refuse(_("The file is larger than %(size)s MB.") % {"size": MAX_BYTES // 1_000_000})
    text = decode(data)
    try:
        told = mt940.parse_statements(text, options=mt940.Options.all())
    except (ValueError, RuntimeError, ArithmeticError, KeyError, TypeError, IndexError) as error:
        raise refuse(_("It cannot be read as MT940 (%(error)s).") % {"error": str(error)[:120]}) from None
    found: dict[str, list[BankEntry]] = {}
    for number, statement in enumerate(told, start=1):
        account = " ".join(str(statement.data.get("account_identification") or "").split())
        rows = [row.data for row in statement if row.data.get("amount") is not None]
        where = _("statement %(number)s") % {"number": number}
        found.setdefault(account, []).extend(
            _entry(row, f"{where}, :61: {index}") for index, row in enumerate(rows, start=1)
        )
    _nothing_lost(text, sum(map(len, found.values())))
    if not found:
        raise refuse(_("There is no statement in this file."), ":20:")
    return [Statement(FORMAT, account, tuple(entries)) for account, entries in found.items()]


def _nothing_lost(text: str, read: int) -> None:
    """Refuse a file of which the library passed over a movement."""
    lines = len(re.findall(r"^:61:", text, re.MULTILINE))
    if lines != read:
        raise refuse(
            _("%(lines)s movements (:61:) are there, %(read)s of them can be read.")
            % {"lines": lines, "read": read}
        )


def _entry(row: dict[str, Any], where: str) -> BankEntry:
    booked_on = row.get("entry_date") or row.get("date")
    if booked_on is None:
        raise refuse(_("“%(told)s” is not a day.") % {"told": ""}, where)
    try:
        amount = abs(whole_cents(Decimal(row["amount"].amount)))
    except ValueError as error:
        raise refuse(f"“{row['amount'].amount}” {error}.", where) from None
    status = str(row.get("status", "")).upper()
    details = _details(row)
    return BankEntry(
        booked_on=date(booked_on.year, booked_on.month, booked_on.day),
        amount=amount if status in _CAME_IN else -amount,
        currency=str(row.get("currency") or "")[:3],
        other_name=details["name"][:140],
        other_iban=details["iban"][:34],
        reference=details["reference"][:35],
        text=details["text"][:2000],
        bank_reference=str(row.get("bank_reference") or "").strip()[:80],
        is_reversal=status in ("RC", "RD"),
    )


def _details(row: dict[str, Any]) -> dict[str, str]:
    """Return name, account, structured reference and words of tag 86, whichever dress it wears."""
    told = str(row.get("transaction_details") or "")
    if told:
        words = _code_words(told)
        iban = next(
            (
                found
                for found in (words.get("IBAN", ""), str(row.get("extra_details") or ""))
                if _is_iban(found)
            ),
            "",
        )
        return {
            "name": words.get("NAME", ""),
            "iban": iban,
            "reference": "",
            "text": _joined(told.replace("\n", ""), row.get("customer_reference")),
        }
    name = str(row.get("applicant_name") or "")
    account = str(row.get("applicant_iban") or row.get("gvc_applicant_iban") or "")
    iban = account.replace(" ", "")
    return {
        "name": " ".join(name.split()),
        "iban": iban if _is_iban(iban) else "",
        "reference": "",
        "text": _joined(
            row.get("purpose"),
            row.get("additional_purpose"),
            row.get("end_to_end_reference"),
            row.get("customer_reference"),
            row.get("posting_text"),
        ),
    }


def _code_words(told: str) -> dict[str, str]:
    """Return the values between code words such as /NAME/ and /REMI/, line breaks taken out."""
    parts = _CODE_WORD.split(told.replace("\n", ""))
    return {word: value.strip(" /") for word, value in zip(parts[1::2], parts[2::2], strict=True)}


def _joined(*texts: object) -> str:
    said = (" ".join(str(text).split()) for text in texts if text)
    return "\n".join(dict.fromkeys(text for text in said if text and text not in ("NONREF", "NOTPROVIDED")))


def _is_iban(text: str) -> bool:
    return bool(_IBAN.fullmatch(text.replace(" ", "")))
