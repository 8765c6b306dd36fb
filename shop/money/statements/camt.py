"""ISO 20022 camt.053 statements of any version, read without trusting them.

No entities are resolved, nothing is fetched, a document type declaration is refused outright. Names of
elements are compared without their namespace, since only that tells the versions apart.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal, InvalidOperation

from lxml import etree

from .entries import MAX_BYTES, BankEntry, Statement, refuse, whole_cents

_NAMESPACE = re.compile(r"urn:iso:std:iso:20022:tech:xsd:(?P<message>camt\.053\.\d{3}\.\d{2})")
_BOOKED = "BOOK"


def read_camt(data: bytes) -> Statement:
    """Return the booked movements of a camt.053 file; raise ``StatementError`` with what is wrong.

    A batch that lists its transactions gives one movement for each of them.
    """
    root = _parse(data)
    message = _message(root)
    statements = list(_all(root, "BkToCstmrStmt/Stmt"))
    if not statements:
        raise refuse("There is no statement in this file.", "Document/BkToCstmrStmt")
    accounts = {_text(statement, "Acct/Id/IBAN") for statement in statements}
    if len(accounts) > 1:
        raise refuse("The file holds statements of several accounts; export one account at a time.", "Acct")
    entries: list[BankEntry] = []
    pending = 0
    for number, statement in enumerate(statements, start=1):
        for index, entry in enumerate(_all(statement, "Ntry"), start=1):
            if (_text(entry, "Sts/Cd") or _text(entry, "Sts")) != _BOOKED:
                pending += 1
                continue
            entries += _entries(entry, f"Stmt[{number}]/Ntry[{index}]")
    return Statement(message, accounts.pop(), tuple(entries), pending)


def looks_like_xml(data: bytes) -> bool:
    """Tell whether a file starts as XML does."""
    return data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") or data[:2] in (b"\xff\xfe", b"\xfe\xff")


def _parse(data: bytes) -> etree._Element:
    if len(data) > MAX_BYTES:
        raise refuse(f"The file is larger than {MAX_BYTES // 1_000_000} MB.")
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, huge_tree=False, load_dtd=False, dtd_validation=False
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise refuse(f"The file is not well-formed XML ({error.msg}).") from None
    except ValueError:
        raise refuse("The file is not XML that can be read.") from None
    info = root.getroottree().docinfo
    if info.internalDTD is not None or info.doctype:
        raise refuse("The file declares a document type, which no bank statement needs; it was refused.")
    return root


def _message(root: etree._Element) -> str:
    """Return the message name, such as camt.053.001.08, or refuse another kind of message."""
    namespace = etree.QName(root).namespace or ""
    match = _NAMESPACE.fullmatch(namespace)
    if match is None or etree.QName(root).localname != "Document":
        told = namespace.rsplit(":", 1)[-1] or etree.QName(root).localname
        raise refuse(f"This is not a camt.053 statement but “{told[:60]}”.", "Document")
    return match["message"]


def _all(node: etree._Element, path: str) -> Iterator[etree._Element]:
    """Yield the elements at a path of local names."""
    name, _, rest = path.partition("/")
    for child in node.iterchildren(tag=etree.Element):
        if etree.QName(child).localname == name:
            if rest:
                yield from _all(child, rest)
            else:
                yield child


def _text(node: etree._Element, *paths: str) -> str:
    """Return the first text found at one of the paths, or nothing."""
    for path in paths:
        for found in _all(node, path):
            if found.text and found.text.strip():
                return str(found.text.strip())
    return ""


def _entries(entry: etree._Element, where: str) -> Iterator[BankEntry]:
    details = list(_all(entry, "NtryDtls/TxDtls"))
    total = _amount(entry, "Amt", where, required=True)
    if len(details) <= 1:
        yield _movement(entry, details[0] if details else None, total, where, "")
        return
    amounts = [
        _amount(detail, "Amt", where) or _amount(detail, "AmtDtls/TxAmt/Amt", where) for detail in details
    ]
    if any(amount is None for amount in amounts) or sum(a for a in amounts if a) != total:
        # The batch does not tell what each transaction brought; it stays one sum for a person to split.
        yield _movement(entry, None, total, where, "")
        return
    for index, (detail, amount) in enumerate(zip(details, amounts, strict=True), start=1):
        yield _movement(entry, detail, amount, f"{where}/TxDtls[{index}]", f"/{index}")


def _amount(node: etree._Element, path: str, where: str, *, required: bool = False) -> Decimal | None:
    text = _text(node, path)
    if not text and not required:
        return None
    try:
        amount = whole_cents(Decimal(text))
    except InvalidOperation:
        raise refuse(f"“{text[:40]}” is not an amount.", f"{where}/{path}") from None
    except ValueError as error:
        raise refuse(f"“{text[:40]}” {error}.", f"{where}/{path}") from None
    if amount < 0:
        raise refuse(
            "An amount is never negative here; the indicator tells the direction.", f"{where}/{path}"
        )
    return amount


def _movement(
    entry: etree._Element, detail: etree._Element | None, amount: Decimal | None, where: str, suffix: str
) -> BankEntry:
    came_in = _came_in(entry, where)
    source = entry if detail is None else detail
    other = "Dbtr" if came_in else "Cdtr"
    if _text(entry, "RvslInd") in ("true", "1"):
        # A reversal keeps the parties of the transaction that it takes back.
        other = "Cdtr" if came_in else "Dbtr"
    return BankEntry(
        booked_on=_day(entry, where),
        amount=(amount or Decimal(0)) * (1 if came_in else -1),
        currency=_currency(entry),
        other_name=_text(source, f"RltdPties/{other}/Pty/Nm", f"RltdPties/{other}/Nm")[:140],
        other_iban=_text(source, f"RltdPties/{other}Acct/Id/IBAN").replace(" ", "")[:34],
        reference=_text(source, "RmtInf/Strd/CdtrRefInf/Ref")[:35],
        text=_words(entry, source),
        bank_reference=(_bank_reference(entry, source) + suffix if _bank_reference(entry, source) else "")[
            :80
        ],
    )


def _came_in(entry: etree._Element, where: str) -> bool:
    told = _text(entry, "CdtDbtInd")
    if told not in ("CRDT", "DBIT"):
        raise refuse(f"“{told[:20]}” is neither CRDT nor DBIT.", f"{where}/CdtDbtInd")
    return told == "CRDT"


def _currency(entry: etree._Element) -> str:
    return next((str(found.get("Ccy", "")) for found in _all(entry, "Amt")), "")[:3]


def _day(entry: etree._Element, where: str) -> date:
    told = _text(entry, "BookgDt/Dt", "BookgDt/DtTm", "ValDt/Dt", "ValDt/DtTm")
    try:
        return date.fromisoformat(told[:10])
    except ValueError:
        raise refuse(f"“{told[:20]}” is not a day.", f"{where}/BookgDt") from None


def _words(entry: etree._Element, source: etree._Element) -> str:
    """Return every free text about the movement, so that no reference in it is overlooked."""
    paths = ("RmtInf/Ustrd", "RmtInf/Strd/AddtlRmtInf", "Refs/EndToEndId", "AddtlTxInf")
    said = [found.text.strip() for path in paths for found in _all(source, path) if found.text]
    said += [found.text.strip() for found in _all(entry, "AddtlNtryInf") if found.text]
    return "\n".join(text for text in dict.fromkeys(said) if text and text != "NOTPROVIDED")[:2000]


def _bank_reference(entry: etree._Element, source: etree._Element) -> str:
    return _text(entry, "AcctSvcrRef", "NtryRef") or _text(source, "Refs/AcctSvcrRef", "Refs/TxId")
