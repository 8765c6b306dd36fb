"""ISO 20022 camt.053 statements of any version, read without trusting them.

No entities are resolved, nothing is fetched, a document type declaration is refused outright. Names of
elements are compared without their namespace, since only that tells the versions apart.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import date
from decimal import Decimal, InvalidOperation

from django.utils.translation import gettext as _
from lxml import etree

from .accounts import is_account
from .entries import MAX_BYTES, BankEntry, Statement, refuse, whole_cents

_NAMESPACE = re.compile(r"urn:iso:std:iso:20022:tech:xsd:(?P<message>camt\.053\.\d{3}\.\d{2})")
_BOOKED = frozenset({"BOOK", ""})
"""A statement holds what was booked, so an entry without a status is booked."""
_NOT_YET = frozenset({"PDNG", "INFO", "FUTR"})


def read_camt(data: bytes) -> list[Statement]:
    """Return what a camt.053 file tells of each account; raise ``StatementError`` with what is wrong.

    A batch that lists its transactions gives one movement for each of them.
    """
    root = _parse(data)
    message = _message(root)
    found: dict[str, list[BankEntry]] = {}
    pending: Counter[str] = Counter()
    for number, statement in enumerate(_all(root, "BkToCstmrStmt/Stmt"), start=1):
        account = _text(statement, "Acct/Id/IBAN", "Acct/Id/Othr/Id")
        entries = found.setdefault(account, [])
        for index, entry in enumerate(_all(statement, "Ntry"), start=1):
            where = f"Stmt[{number}]/Ntry[{index}]"
            if _is_booked(entry, where):
                entries += _entries(entry, where, account)
            else:
                pending[account] += 1
    if not found:
        raise refuse(_("There is no statement in this file."), "Document/BkToCstmrStmt")
    return [
        Statement(message, account, tuple(entries), pending[account]) for account, entries in found.items()
    ]


def _is_booked(entry: etree._Element, where: str) -> bool:
    """Whether the entry is booked; a status that nobody knows is refused, never guessed."""
    status = _text(entry, "Sts/Cd", "Sts/Prtry", "Sts").upper()
    if status in _BOOKED:
        return True
    if status in _NOT_YET:
        return False
    raise refuse(
        _("“%(status)s” is not a status of an entry that is known.") % {"status": status[:20]}, f"{where}/Sts"
    )


def looks_like_xml(data: bytes) -> bool:
    """Tell whether a file starts as XML does."""
    return data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") or data[:2] in (b"\xff\xfe", b"\xfe\xff")


def _parse(data: bytes) -> etree._Element:
    if len(data) > MAX_BYTES:
        raise refuse(_("The file is larger than %(size)s MB.") % {"size": MAX_BYTES // 1_000_000})
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, huge_tree=False, load_dtd=False, dtd_validation=False
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise refuse(_("The file is not well-formed XML (%(error)s).") % {"error": error.msg}) from None
    except ValueError:
        raise refuse(_("The file is not XML that can be read.")) from None
    info = root.getroottree().docinfo
    if info.internalDTD is not None or info.doctype:
        raise refuse(_("The file declares a document type, which no bank statement needs; it was refused."))
    return root


def _message(root: etree._Element) -> str:
    """Return the message name, such as camt.053.001.08, or refuse another kind of message."""
    namespace = etree.QName(root).namespace or ""
    match = _NAMESPACE.fullmatch(namespace)
    if match is None or etree.QName(root).localname != "Document":
        told = namespace.rsplit(":", 1)[-1] or etree.QName(root).localname
        raise refuse(_("This is not a camt.053 statement but “%(told)s”.") % {"told": told[:60]}, "Document")
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


def _entries(entry: etree._Element, where: str, account: str) -> Iterator[BankEntry]:
    details = list(_all(entry, "NtryDtls/TxDtls"))
    total = _amount(entry, "Amt", where) or Decimal(0)
    if len(details) <= 1:
        yield _movement(entry, details[0] if details else None, total, where, account)
        return
    signed = [_detail_amount(entry, detail, where) for detail in details]
    if None in signed or sum(amount for amount in signed if amount) != total:
        # The batch does not tell what each transaction brought; it stays one sum for a person to split.
        yield _movement(entry, None, total, where, account)
        return
    for index, (detail, amount) in enumerate(zip(details, signed, strict=True), start=1):
        yield _movement(entry, detail, amount or Decimal(0), f"{where}/TxDtls[{index}]", account, f"/{index}")


def _detail_amount(entry: etree._Element, detail: etree._Element, where: str) -> Decimal | None:
    """Return a transaction's share of the entry, negative where it went the other way."""
    amount = _amount(detail, "Amt", where, required=False)
    if amount is None:
        amount = _amount(detail, "AmtDtls/TxAmt/Amt", where, required=False)
    told = _text(detail, "CdtDbtInd")
    against = told in ("CRDT", "DBIT") and told != _text(entry, "CdtDbtInd")
    return -amount if amount is not None and against else amount


def _amount(node: etree._Element, path: str, where: str, *, required: bool = True) -> Decimal | None:
    text = _text(node, path)
    if not text and not required:
        return None
    try:
        amount = whole_cents(Decimal(text))
    except InvalidOperation:
        raise refuse(_("“%(cell)s” is not an amount.") % {"cell": text[:40]}, f"{where}/{path}") from None
    except ValueError as error:
        raise refuse(f"“{text[:40]}” {error}.", f"{where}/{path}") from None
    if amount < 0:
        raise refuse(
            _("An amount is never negative here; the indicator tells the direction."), f"{where}/{path}"
        )
    return amount


def _movement(
    entry: etree._Element,
    detail: etree._Element | None,
    amount: Decimal,
    where: str,
    account: str,
    suffix: str = "",
) -> BankEntry:
    came_in = _came_in(entry, where)
    source = entry if detail is None else detail
    reversal = _text(entry, "RvslInd") in ("true", "1") or bool(
        _text(source, "RtrInf/Rsn/Cd", "RtrInf/Rsn/Prtry")
    )
    name, iban = _other_side(
        source, came_in=came_in, swapped=_text(entry, "RvslInd") in ("true", "1"), account=account
    )
    references = [found.text.strip() for found in _all(source, "RmtInf/Strd/CdtrRefInf/Ref") if found.text]
    documents = [found.text.strip() for found in _all(source, "RmtInf/Strd/RfrdDocInf/Nb") if found.text]
    reference = _bank_reference(entry, source)
    return BankEntry(
        booked_on=_day(entry, where),
        amount=amount if came_in else -amount,
        currency=_currency(entry),
        other_name=name[:140],
        other_iban=iban[:34],
        reference=references[0][:35] if references else "",
        text=_words(entry, source, references[1:]),
        bank_reference=(reference + suffix)[:80] if reference else "",
        documents=" ".join(dict.fromkeys(documents))[:200],
        is_reversal=reversal,
    )


def _other_side(source: etree._Element, *, came_in: bool, swapped: bool, account: str) -> tuple[str, str]:
    """Return name and account of whoever is not the account's owner.

    A reversal keeps the parties of the transaction that it takes back (ISO 20022), yet some banks turn
    them round: the side that bears the statement's own account is never the other one.
    """
    sides = ("Dbtr", "Cdtr") if came_in != swapped else ("Cdtr", "Dbtr")
    parties = [
        (
            _text(
                source,
                *(f"RltdPties/{mark}{end}" for mark in (side, f"Ultmt{side}") for end in ("/Pty/Nm", "/Nm")),
            ),
            _text(source, f"RltdPties/{side}Acct/Id/IBAN", f"RltdPties/{side}Acct/Id/Othr/Id").replace(
                " ", ""
            ),
        )
        for side in sides
    ]
    own = [is_account(iban, account) for _name, iban in parties]
    first, second = parties
    if any(second) and not own[1] and (own[0] or not any(first)):
        return second
    return first


def _came_in(entry: etree._Element, where: str) -> bool:
    told = _text(entry, "CdtDbtInd")
    if told not in ("CRDT", "DBIT"):
        raise refuse(_("“%(told)s” is neither CRDT nor DBIT.") % {"told": told[:20]}, f"{where}/CdtDbtInd")
    return told == "CRDT"


def _currency(entry: etree._Element) -> str:
    return next((str(found.get("Ccy", "")) for found in _all(entry, "Amt")), "")[:3]


def _day(entry: etree._Element, where: str) -> date:
    told = _text(entry, "BookgDt/Dt", "BookgDt/DtTm", "ValDt/Dt", "ValDt/DtTm")
    try:
        return date.fromisoformat(told[:10])
    except ValueError:
        raise refuse(_("“%(told)s” is not a day.") % {"told": told[:20]}, f"{where}/BookgDt") from None


def _words(entry: etree._Element, source: etree._Element, references: list[str]) -> str:
    """Return every free text about the movement, so that no reference in it is overlooked."""
    paths = ("RmtInf/Ustrd", "RmtInf/Strd/AddtlRmtInf", "Refs/EndToEndId", "AddtlTxInf")
    said = references + [found.text.strip() for path in paths for found in _all(source, path) if found.text]
    said += [found.text.strip() for found in _all(entry, "AddtlNtryInf") if found.text]
    return "\n".join(text for text in dict.fromkeys(said) if text and text != "NOTPROVIDED")[:2000]


def _bank_reference(entry: etree._Element, source: etree._Element) -> str:
    """Return the servicer's reference; an entry's own number (NtryRef) is given anew in each file."""
    return _text(entry, "AcctSvcrRef") or _text(source, "Refs/AcctSvcrRef", "Refs/TxId", "Refs/UETR")
