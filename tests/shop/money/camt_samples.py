"""camt.053 samples of our own with invented people, in the shapes that the versions ask for."""

from __future__ import annotations

from xml.sax.saxutils import escape

IBAN = "NL91ABNA0417164300"
VERSIONS = tuple(range(2, 13))


def transfer(
    amount: str,
    *,
    text: str = "",
    reference: str = "",
    name: str = "Ida Sommer",
    bank_reference: str = "",
    direction: str = "CRDT",
    day: str = "2026-03-31",
    status: str = "BOOK",
    currency: str = "EUR",
    version: int = 8,
    details: str | None = None,
    reversal: bool = False,
) -> str:
    """Return one Ntry; ``details`` replaces its TxDtls."""
    new = version >= 7  # from here on parties and codes are wrapped once more (ISO 20022 message reports)
    side = "Dbtr" if direction == "CRDT" else "Cdtr"
    party = f"<Nm>{escape(name)}</Nm>"
    if new:
        party = f"<Pty>{party}</Pty>"
    remittance = f"<Ustrd>{escape(text)}</Ustrd>" if text else ""
    if reference:
        remittance += f"<Strd><CdtrRefInf><Ref>{reference}</Ref></CdtrRefInf></Strd>"
    if details is None:
        details = (
            f"<TxDtls><Refs><EndToEndId>NOTPROVIDED</EndToEndId></Refs>"
            f"{amounts(amount, direction, currency, version)}"
            f"<RltdPties><{side}>{party}</{side}>"
            f"<{side}Acct><Id><IBAN>DE89370400440532013000</IBAN></Id></{side}Acct></RltdPties>"
            + (f"<RmtInf>{remittance}</RmtInf>" if remittance else "")
            + "</TxDtls>"
        )
    state = f"<Sts><Cd>{status}</Cd></Sts>" if new else f"<Sts>{status}</Sts>"
    return (
        f'<Ntry><Amt Ccy="{currency}">{amount}</Amt><CdtDbtInd>{direction}</CdtDbtInd>'
        + ("<RvslInd>true</RvslInd>" if reversal else "")
        + f"{state}<BookgDt><Dt>{day}</Dt></BookgDt><ValDt><Dt>{day}</Dt></ValDt>"
        + (f"<AcctSvcrRef>{bank_reference}</AcctSvcrRef>" if bank_reference else "")
        + "<BkTxCd><Prtry><Cd>166</Cd></Prtry></BkTxCd>"
        + f"<NtryDtls>{details}</NtryDtls></Ntry>"
    )


def amounts(amount: str, direction: str, currency: str, version: int) -> str:
    """Return how a transaction tells its amount: beside AmtDtls in the old versions, directly later."""
    if version <= 2:
        return f'<AmtDtls><TxAmt><Amt Ccy="{currency}">{amount}</Amt></TxAmt></AmtDtls>'
    return f'<Amt Ccy="{currency}">{amount}</Amt><CdtDbtInd>{direction}</CdtDbtInd>'


def statement(*entries: str, version: int = 8, iban: str = IBAN, number: str = "1") -> bytes:
    """Return a whole document of this version."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>'
        f'<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.053.001.{version:02d}"><BkToCstmrStmt>'
        f"<GrpHdr><MsgId>M{number}</MsgId><CreDtTm>2026-04-01T06:00:00+02:00</CreDtTm></GrpHdr>"
        f"<Stmt><Id>S{number}</Id><CreDtTm>2026-04-01T06:00:00+02:00</CreDtTm>"
        f"<Acct><Id><IBAN>{iban}</IBAN></Id></Acct>"
        '<Bal><Tp><CdOrPrtry><Cd>CLBD</Cd></CdOrPrtry></Tp><Amt Ccy="EUR">0.00</Amt>'
        "<CdtDbtInd>CRDT</CdtDbtInd><Dt><Dt>2026-03-31</Dt></Dt></Bal>"
        + "".join(entries)
        + "</Stmt></BkToCstmrStmt></Document>"
    ).encode()
