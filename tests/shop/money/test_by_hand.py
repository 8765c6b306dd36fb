"""What a person does with money: matching, setting aside, payments at the desk, undoing."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from shop.models import StatementEntry
from shop.money.service import PaymentError, account, book_payment, undo_payment
from shop.money.statements.importing import import_statement
from shop.money.statements.matching import (
    bring_back,
    match_by_hand,
    match_entry,
    set_aside,
    unmatch,
)
from shop.money.statements.suggesting import suggestions
from tests.shop import factories

from .camt_samples import statement, transfer
from .transfers import due, make_workshop, state

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    make_workshop()


def test_matching_by_hand_and_undoing_it() -> None:
    job, clerk = due(), factories.staff("manager")
    entry = import_statement(name="a", data=statement(transfer("300.00", text="van"))).file.entries.get()

    match_by_hand(entry_id=entry.pk, job_id=job.pk, by=clerk)
    assert account(job).covered
    with pytest.raises(PaymentError, match="already"):
        match_by_hand(entry_id=entry.pk, job_id=job.pk, by=clerk)

    unmatch(entry_id=entry.pk, by=clerk)
    unmatch(entry_id=entry.pk, by=clerk)
    entry.refresh_from_db()
    assert (entry.state, account(job).held) == ("open", 0)
    assert [payment.amount for payment in job.payments.all()] == [300, -300]
    assert "money.payment_undone" in job.history.values_list("action", flat=True)


def test_setting_aside_and_bringing_back() -> None:
    entry = import_statement(name="a", data=statement(transfer("3.00"))).file.entries.get()

    assert set_aside(entry_id=entry.pk, note="sold scrap").state == "set aside"
    assert bring_back(entry_id=entry.pk).state == "open"
    assert match_entry(entry_id=entry.pk) is None


def test_suggestions_say_what_speaks_for_them() -> None:
    job = due()
    due("999.00")
    entry = StatementEntry(
        pk=1,
        amount=Decimal("300.00"),
        currency="EUR",
        other_name="SOMMER, IDA",
        text=f"job {job.number.lower()}",
    )

    first = suggestions([entry])[1][0]

    assert first.job == job
    assert first.reasons == ("names the job's number", "the customer's name", "the amount asked for")


def test_payment_at_the_desk_once_per_press() -> None:
    job = due()
    today = timezone.localdate()
    for _ in range(2):
        book_payment(job_id=job.pk, amount=Decimal(300), received_on=today, method="cash", by=None, press="k")

    assert (state(job), account(job).held) == ("deposit_in", 300)
    for wrong in ({"amount": Decimal(0)}, {"received_on": today + timedelta(days=1)}):
        with pytest.raises(PaymentError):
            book_payment(
                **(
                    {
                        "job_id": job.pk,
                        "amount": Decimal(1),
                        "received_on": today,
                        "method": "cash",
                        "by": None,
                    }
                    | wrong
                )
            )


def test_the_key_of_a_pressing_with_another_content_is_told_apart() -> None:
    job, today = due(), timezone.localdate()
    first = {"job_id": job.pk, "amount": Decimal(100), "received_on": today, "method": "cash", "press": "k"}
    paid = book_payment(by=None, **first)
    for other in ({"amount": Decimal(90)}, {"method": "card"}, {"received_on": today - timedelta(days=1)}):
        with pytest.raises(PaymentError, match="100"):
            book_payment(by=None, **(first | other))
    assert book_payment(by=None, **first) == paid
    assert account(job).held == 100


def test_undoing_twice_undoes_once_and_an_undoing_stays() -> None:
    job = due()
    today = timezone.localdate()
    paid = book_payment(job_id=job.pk, amount=Decimal(5), received_on=today, method="card", by=None)

    first = undo_payment(payment_id=paid.pk, by=None, note="typed wrong")
    second = undo_payment(payment_id=paid.pk, by=None, note="typed wrong")

    assert first == second
    assert account(job).held == 0
    with pytest.raises(PaymentError):
        undo_payment(payment_id=first.pk, by=None, note="")
