"""The lists of money: the right jobs, words and references, for these jobs and no others."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.db.models import QuerySet

from shop.figures.selectors import to_come
from shop.models import Job
from shop.money.account import account
from shop.money.deposits import make_deposit_request
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund
from shop.money.reminders import remind_deposits
from shop.money.selectors import accounts, ledgers, rows, tone, totals, word_of
from tests.shop import factories

from .ledgers import due, pay

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("word", "colour"),
    [
        ("paid", "is-ok"),
        ("overdue", "is-stop"),
        ("part paid", "is-warn"),
        ("overpaid", "is-warn"),
        ("open", "is-info"),
    ],
)
def test_each_word_has_its_colour(word: str, colour: str) -> None:
    assert tone(word) == colour


@pytest.mark.long
def test_accounts_of_these_jobs_are_what_each_job_says_itself(manager) -> None:
    off, here, other = due("cancelled"), due("ready"), due()
    for job in (off, here, other):
        pay(job, Decimal(500))
    decide_owed(job_id=off.pk, owed=Decimal(80), why="x", by=manager, press="a")
    decide_refund(job_id=here.pk, amount=Decimal(50), why="x", by=manager, press="b")
    decide_refund(job_id=other.pk, amount=Decimal(70), why="x", by=manager, press="c")
    reduce_price(job_id=here.pk, amount=Decimal(40), why="x", by=manager, press="d")
    dearer = factories.evaluation(price=factories.price("1500.00", "450.00"))
    make_deposit_request(job=other, evaluation=dearer)
    found = accounts([off.pk, here.pk])
    assert found == {job.pk: account(Job.objects.get(pk=job.pk)) for job in (off, here)}
    assert accounts([other.pk])[other.pk] == account(Job.objects.get(pk=other.pk))
    assert (found[off.pk].asked, found[off.pk].over) == (80, 420)
    assert (found[here.pk].price, found[here.pk].held) == (1150, 450)


def test_the_list_has_each_job_with_its_newest_reference_and_word() -> None:
    part, whole, none = due(), due(), due()
    due("sent")
    pay(part, Decimal(1))
    pay(whole)
    make_deposit_request(job=none, evaluation=factories.evaluation(price=factories.price("9.00", "3.00")))
    none.deposit_requests.filter(number=1).update(reference="RF00OLD")
    shown = {row.ledger.job_id: (row.word, row.reference, row.tone) for row in rows(ledgers())}
    references = {
        job.pk: job.deposit_requests.get(superseded_at=None).reference for job in (part, whole, none)
    }
    assert shown == {
        part.pk: ("part paid", references[part.pk], "is-warn"),
        whole.pk: ("paid", references[whole.pk], "is-ok"),
        none.pk: ("open", references[none.pk], "is-info"),
    }
    assert [row.job_id for row in ledgers("paid")] == [whole.pk]
    assert ledgers("no such word").count() == 3
    found = totals()
    assert dict(found.counts) == {"overdue": 0, "part paid": 1, "open": 1, "overpaid": 0, "paid": 1}
    assert (found.count, found.held, found.outstanding, found.overdue) == (3, 301, 299 + 300, 0)
    ledger = ledgers("paid").get()
    assert word_of(ledger, ledger.due_on) == "paid"


def test_nobody_is_reminded_of_a_balance_that_nobody_asked_for() -> None:
    job = due("handed_over")
    job.ledger.refresh_from_db()
    job.deposit_requests.all().delete()
    after = job.ledger.due_on.replace(year=job.ledger.due_on.year + 1)
    assert remind_deposits(today=after) == []


@pytest.mark.skipif(connection.vendor != "sqlite", reason="another server goes by how many rows there are")
@pytest.mark.parametrize("rows", [ledgers(), ledgers("overdue"), to_come()], ids=["all", "late", "numbers"])
def test_the_first_of_what_is_open_are_read_in_order_and_not_sorted_out_of_all(rows: QuerySet[Any]) -> None:
    plan = rows[:20].explain()
    assert "ledger_open_due" in plan
    assert "TEMP B-TREE" not in plan
