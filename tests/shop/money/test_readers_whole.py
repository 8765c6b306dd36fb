"""Every field of every movement, as camt.053 (ISO 20022) and MT940 tell it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from shop.money.statements.camt import looks_like_xml, read_camt
from shop.money.statements.entries import BankEntry, StatementError
from shop.money.statements.mt940_file import read_mt940

from .camt_samples import IBAN, statement, transfer
from .test_other_readers import MT940

DAY = date(2026, 3, 31)


def entry(day: date, amount: str, currency: str = "EUR", **fields: object) -> BankEntry:
    return BankEntry(day, Decimal(amount), currency, **fields)  # type: ignore[arg-type]


TOLD = {
    "German bank": {
        "50880050/0194774600888": [
            entry(
                DAY,
                "300.00",
                other_name="IDA SOMMER",
                other_iban="DE89370400440532013000",
                text="RF58 KL00 0042 Anzahlung Van\nAuftrag 7\nGUTSCHRIFT",
                bank_reference="0724710345313905",
            ),
            entry(DAY, "-204.88", text="zurueck\nSAMMLER/STORNO", is_reversal=True),
            entry(DAY, "-99.95", other_name="ACHSTEIL", text="Rechnung 4711\nUEBERWEISUNG"),
        ],
        "50880050/0194777100888": [
            entry(DAY, "15000.05", text="anderes Konto", bank_reference="0724710290621954"),
        ],
    },
    "Dutch banks, free text": {
        "517852257": [
            entry(
                date(2026, 5, 24),
                "-9.00",
                text="GIRO 428428 STICKERS BETALINGSKENM. 000000042188659BETREFT FACTUUR D.D. 20-05-2026",
            ),
            entry(date(2026, 5, 25), "25.03", text="0111111111 I SOMMER DEPOSIT VAN"),
        ],
    },
    "Dutch banks, code words": {
        "NL91ABNA0417164300": [
            entry(
                date(2026, 1, 2),
                "300.00",
                other_name="IDA SOMMER",
                other_iban="NL20INGB0001234567",
                text="/EREF/KB-1/BENM//NAME/IDA SOMMER/REMI/RF58KL000042/ISDT/2026-01-02\nEREF",
                bank_reference="B4E07XM00J000023",
            ),
            entry(
                date(2026, 1, 3),
                "-10.00",
                other_name="ACHSTEIL WENDORF",
                text="/BENM//NAME/ACHSTEIL WENDORF/REMI/Reference 4711/ISDT/2026-01-03",
            ),
        ],
    },
}


@pytest.mark.parametrize("bank", TOLD)
def test_mt940_whole(bank: str) -> None:
    found = read_mt940(MT940[bank].encode())
    assert {one.account: list(one.entries) for one in found} == TOLD[bank]
    assert {(one.format, one.pending) for one in found} == {("MT940", 0)}


WHOLE = """<TxDtls>
 <Refs><AcctSvcrRef>T-1</AcctSvcrRef><EndToEndId>Order 7</EndToEndId><TxId>X</TxId></Refs>
 <RltdPties>
  <UltmtDbtr><Pty><Nm>Anna Sommer</Nm></Pty></UltmtDbtr>
  <DbtrAcct><Id><IBAN>DE89 3704 0044 0532 0130 00</IBAN></Id></DbtrAcct>
  <CdtrAcct><Id><IBAN>NL91ABNA0417164300</IBAN></Id></CdtrAcct>
 </RltdPties>
 <RmtInf>
  <Ustrd>for the van</Ustrd><Ustrd>second line</Ustrd>
  <Strd><RfrdDocInf><Nb>R-1</Nb></RfrdDocInf><CdtrRefInf><Ref>RF58KL000042</Ref></CdtrRefInf>
   <AddtlRmtInf>structured</AddtlRmtInf></Strd>
  <Strd><RfrdDocInf><Nb>R-2</Nb></RfrdDocInf><CdtrRefInf><Ref>RF31KL000043</Ref></CdtrRefInf></Strd>
  <Strd><RfrdDocInf><Nb>R-1</Nb></RfrdDocInf></Strd>
 </RmtInf>
 <AddtlTxInf>told more</AddtlTxInf>
</TxDtls>"""


def only(*entries: str) -> BankEntry:
    (one,) = read_camt(statement(*entries))
    assert (one.format, one.account) == ("camt.053.001.08", IBAN)
    (found,) = one.entries
    return found


def test_camt_whole() -> None:
    more = transfer("300.5", details=WHOLE).replace(
        "</NtryDtls>", "</NtryDtls><AddtlNtryInf>of the entry</AddtlNtryInf>"
    )
    assert only(more) == entry(
        DAY,
        "300.50",
        other_name="Anna Sommer",
        other_iban="DE89370400440532013000",
        reference="RF58KL000042",
        text="RF31KL000043\nfor the van\nsecond line\nstructured\nOrder 7\ntold more\nof the entry",
        bank_reference="T-1",
        documents="R-1 R-2",
    )
    # The entry's own reference comes before that of its transaction; that one before any other.
    assert only(transfer("1", details=WHOLE, bank_reference="E-1")).bank_reference == "E-1"
    assert only(transfer("1", details=WHOLE.replace("AcctSvcrRef", "Other"))).bank_reference == "X"


def test_each_transaction_of_a_batch_is_a_movement_with_its_own_share() -> None:
    def share(amount: str, name: str, direction: str = "CRDT") -> str:
        return (
            f'<TxDtls><Amt Ccy="EUR">{amount}</Amt><CdtDbtInd>{direction}</CdtDbtInd>'
            f"<RltdPties><Dbtr><Pty><Nm>{name}</Nm></Pty></Dbtr></RltdPties></TxDtls>"
        )

    batch = share("120.00", "Ida") + share("200.00", "Otto") + share("20.00", "Fee", "DBIT")
    (one,) = read_camt(statement(transfer("300.00", details=batch, bank_reference="B")))
    found = [(each.amount, each.other_name, each.bank_reference) for each in one.entries]
    assert found == [
        (Decimal("120.00"), "Ida", "B/1"),
        (Decimal("200.00"), "Otto", "B/2"),
        (Decimal("-20.00"), "Fee", "B/3"),
    ]
    # Shares that do not add up are not guessed: one sum, for a person to split.
    (one,) = read_camt(statement(transfer("299.00", details=batch, bank_reference="B")))
    assert [(each.amount, each.other_name, each.bank_reference) for each in one.entries] == [
        (Decimal("299.00"), "", "B")
    ]
    assert read_camt(statement(transfer("340.00", details=batch)))[0].entries[0].amount == 340


@pytest.mark.parametrize(
    ("change", "day"),
    [
        (("<BookgDt><Dt>2026-03-31</Dt>", "<BookgDt><DtTm>2026-03-30T23:59:00+02:00</DtTm>"), 30),
        (("<BookgDt><Dt>2026-03-31</Dt></BookgDt>", ""), 31),
        (("<BookgDt><Dt>2026-03-31</Dt></BookgDt><ValDt><Dt>2026-03-31</Dt></ValDt>",
          "<ValDt><DtTm>2026-03-29T00:00:00</DtTm></ValDt>"), 29),
    ],
)  # fmt: skip
def test_the_day_of_booking_or_else_of_value(change: tuple[str, str], day: int) -> None:
    assert only(transfer("1").replace(*change)).booked_on == date(2026, 3, day)


def test_several_statements_of_one_account_are_one_and_pending_entries_are_counted() -> None:
    first = statement(transfer("1"), transfer("2", status="PDNG"), transfer("4", status="INFO"))
    second = statement(transfer("8"))
    more = second[second.index(b"<Stmt>") : second.index(b"</BkToCstmrStmt>")]
    both = first.replace(b"</BkToCstmrStmt>", more + b"</BkToCstmrStmt>")
    (one,) = read_camt(both)
    assert [each.amount for each in one.entries] == [1, 8]
    assert one.pending == 2


def faults(data: bytes) -> list[tuple[str, str]]:
    with pytest.raises(StatementError) as refusal:
        read_camt(data)
    return [(fault.where, fault.message) for fault in refusal.value.faults]


@pytest.mark.parametrize(
    ("change", "where", "said"),
    [
        ((b'<Amt Ccy="EUR">5.00', b'<Amt Ccy="EUR">five'), "Amt", "“five” is not an amount."),
        ((b'<Amt Ccy="EUR">5.00', b'<Amt Ccy="EUR">-5.00'), "Amt",
         "An amount is never negative here; the indicator tells the direction."),
        ((b"CRDT", b"PLUS"), "CdtDbtInd", "“PLUS” is neither CRDT nor DBIT."),
        ((b"2026-03-31</Dt></BookgDt>", b"31.3.2026</Dt></BookgDt>"), "BookgDt", "“31.3.2026” is not a day."),
        ((b"<Cd>BOOK", b"<Cd>MAYB"), "Sts", "“MAYB” is not a status of an entry that is known."),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_with_its_place(change: tuple[bytes, bytes], where: str, said: str) -> None:
    data = statement(transfer("1.00"), transfer("5.00"))
    head, _, tail = data.partition(b"</Ntry>")
    assert faults(head + b"</Ntry>" + tail.replace(*change, 1)) == [(f"Stmt[1]/Ntry[2]/{where}", said)]


@pytest.mark.parametrize(
    ("data", "where", "said"),
    [
        (b"<Document/>", "Document", "This is not a camt.053 statement but “Document”."),
        (statement().replace(b"camt.053", b"camt.054"), "Document",
         "This is not a camt.053 statement but “camt.054.001.08”."),
        (statement().replace(b"BkToCstmrStmt", b"Other"), "Document/BkToCstmrStmt",
         "There is no statement in this file."),
    ],
)  # fmt: skip
def test_what_is_no_statement_is_refused(data: bytes, where: str, said: str) -> None:
    assert faults(data) == [(where, said)]


@pytest.mark.parametrize(
    ("data", "is_xml"),
    [
        (b"<?xml", True),
        (b"\xef\xbb\xbf \r\n\t<a/>", True),
        (b"\xff\xfe<\x00", True),
        (b"\xfe\xff\x00<", True),
        (b":20:<", False),
        (b"", False),
    ],
)
def test_xml_is_known_by_how_it_starts(data: bytes, is_xml: bool) -> None:
    assert looks_like_xml(data) is is_xml
