"""Which account of a file is the workshop's, and what a customer's account comes to."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone, translation

from configurator.models import Workshop
from shop.models import Job
from shop.money.accounts import customer_account
from shop.money.refunds import decide_refund
from shop.money.service import book_payment
from shop.money.statements.accounts import is_account
from shop.money.statements.entries import StatementError
from shop.money.statements.importing import import_statement
from tests.shop import factories

from .camt_samples import IBAN, statement, transfer
from .transfers import due, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    make_workshop()


def test_of_several_accounts_the_workshops_is_taken() -> None:
    mine, other = statement(transfer("5.00")), statement(transfer("7.00"), iban="DE89370400440532013000")
    body = other.split(b"</GrpHdr>")[1].split(b"</BkToCstmrStmt>")[0]
    data = mine.replace(b"</BkToCstmrStmt>", body + b"</BkToCstmrStmt>")

    file = import_statement(name="both", data=data).file

    assert [entry.amount for entry in file.entries.all()] == [5]
    assert file.left_out == [{"what": "account", "account": "DE89370400440532013000", "count": 1}]
    assert file.left_out_words == ["account DE89370400440532013000: 1 movements"]
    with translation.override("de"):
        assert file.left_out_words == ["Konto DE89370400440532013000: 1 Umsätze"]
    file.left_out = [
        "account X: 2 movements",
        {"what": "row", "row": "5: Saldo"},
    ]  # the first of an older file
    assert file.left_out_words == ["account X: 2 movements", "row 5: Saldo"]


OWN = "DE89 3704 0044 0532 0130 00"


@pytest.mark.parametrize(
    ("told", "same"),
    [
        (OWN, True),
        ("de89370400440532013000", True),
        ("DE89370400440532013000EUR", True),
        ("37040044/532013000", True),
        ("37040044/0532013000EUR", True),
        ("0532013000", True),
        ("532013000", True),
        ("370400440532013000", True),
        ("12030000/532013000", False),
        ("NL91ABNA0417164300", False),
        ("3000", False),
        ("632013000", False),
        ("", False),
    ],
)
def test_account_numbers_however_banks_write_them(told: str, same: bool) -> None:
    """A German IBAN ends with 8 digits of the bank and 10 of the account (ISO 13616 registry)."""
    assert is_account(told, OWN) == same


def test_an_account_told_as_a_domestic_number_is_the_workshops() -> None:
    Workshop.objects.update(iban=OWN)
    data = statement(transfer("5.00")).replace(
        f"<IBAN>{IBAN}</IBAN></Id></Acct>".encode(), b"<Othr><Id>0532013000</Id></Othr></Id></Acct>"
    )
    assert import_statement(name="a", data=data).file.entries.count() == 1

    with pytest.raises(StatementError, match="the workshop's is"):
        import_statement(name="b", data=data.replace(b"0532013000", b"0532013001"))


@pytest.mark.long
def test_a_customers_account_runs_over_all_jobs_and_adds_up() -> None:
    one, two = due("300.00"), due("450.00")
    today = timezone.localdate()
    book_payment(job_id=one.pk, amount=Decimal(300), received_on=today, method="cash", by=None)
    book_payment(job_id=two.pk, amount=Decimal(50), received_on=today, method="card", by=None)
    decide_refund(
        job_id=one.pk, amount=Decimal(100), why="goodwill", by=factories.staff("manager"), press="k"
    )

    found = customer_account(" IDA@customer.example ")

    assert found is not None
    assert found.jobs == (one, two)
    assert (found.asked, found.paid, found.balance) == (750, 250, 500)
    assert found.lines[-1].balance == 500
    assert customer_account("nobody@customer.example") is None
    assert customer_account("") is None


def test_a_job_called_off_asks_for_nothing_in_the_account() -> None:
    from shop.jobs import service as jobs

    job = due("300.00")
    jobs.cancel(job_id=job.pk, by="customer", why="sold the van")

    found = customer_account("ida@customer.example")

    assert found is not None
    assert (found.asked, found.balance) == (0, 0)
    assert Job.objects.get().state == "cancelled"
