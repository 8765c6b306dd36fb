"""Money that went out again: taken back from the job it had come for, on its own day."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from shop.models import Payment, StatementEntry
from shop.money.accounts import closing
from shop.money.refunds import decide_refund
from shop.money.service import PaymentError, account, book_payment, undo_payment
from shop.money.statements import matching
from shop.money.statements.importing import import_statement
from tests.shop import factories

from .camt_samples import statement, transfer
from .transfers import again, due, make_workshop, read, reference

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    make_workshop()


@pytest.mark.long
def test_a_bounced_payment_is_taken_back_on_its_own_day() -> None:
    job, other = due(), due()
    read(transfer("300.00", reference=reference(job), name="Ida Sommer"))
    read(transfer("300.00", reference=reference(other), name="Otto Marten"), number="2")

    (bounced,) = read(
        transfer("300.00", direction="DBIT", reference=reference(job), reversal=True, day="2026-04-02"),
        number="3",
    )

    assert (bounced.state, bounced.said) == ("matched", "takes back the payment of 2026-03-31")
    assert (account(job).held, account(other).held) == (0, 300)
    undoing = Payment.objects.get(amount=-300)
    assert (undoing.received_on, undoing.entry, undoing.note) == (date(2026, 4, 2), bounced, "bounced")


@pytest.mark.long
def test_a_bounce_without_a_reference_finds_the_payer() -> None:
    job, other = due(), due()
    for who, each in (("Ida Sommer", job), ("Otto Marten", other)):
        read(transfer("300.00", reference=reference(each), name=who), number=who)
    # Both samples bear one IBAN, so it tells nothing; the name does.
    StatementEntry.objects.update(other_iban="")

    data = statement(
        transfer("300.00", direction="DBIT", reversal=True, name="Otto Marten")
        .replace("<Cdtr>", "<Dbtr>")
        .replace("</Cdtr>", "</Dbtr>"),
        number="9",
    )
    (bounced,) = import_statement(name="9", data=data).file.entries.all()

    assert (bounced.other_name, bounced.state, account(other).held) == ("Otto Marten", "matched", 0)


@pytest.mark.long
def test_a_bounce_that_two_payments_fit_waits_for_a_person_and_can_be_undone() -> None:
    one, two = due(), due()
    first, second = (
        read(transfer("300.00", reference=reference(job)), number=str(job.pk))[0] for job in (one, two)
    )
    StatementEntry.objects.update(other_iban="", other_name="")
    details = "<TxDtls><AddtlTxInf>returned</AddtlTxInf></TxDtls>"
    (bounced,) = read(transfer("300.00", direction="DBIT", reversal=True, details=details), number="9")
    assert (bounced.state, bounced.reason) == ("open", "reversal")

    matching.take_back_by_hand(entry_id=bounced.pk, taken_back_id=second.pk, by=None)
    assert (account(one).held, account(two).held) == (300, 0)
    with pytest.raises(PaymentError, match="already"):
        matching.take_back_by_hand(entry_id=bounced.pk, taken_back_id=first.pk, by=None)

    for _ in range(2):
        matching.unmatch(entry_id=bounced.pk, by=None)
    assert (account(one).held, account(two).held, again(bounced).state) == (300, 300, "open")
    matching.take_back_by_hand(entry_id=bounced.pk, taken_back_id=second.pk, by=None)
    matching.unmatch(entry_id=bounced.pk, by=None)
    assert account(two).held == 300


@pytest.mark.long
def test_a_split_transfer_that_bounces_is_taken_back_from_every_job() -> None:
    one, two = due("300.00"), due("450.00")
    (entry,) = read(transfer("750.00", text=f"{reference(one)} {reference(two)}"))
    matching.split_by_hand(
        entry_id=entry.pk, shares=[(one.pk, Decimal(300)), (two.pk, Decimal(450))], by=None
    )

    (bounced,) = read(
        transfer("750.00", direction="DBIT", reference=reference(one), reversal=True, day="2026-04-02"),
        number="2",
    )

    assert (bounced.state, account(one).held, account(two).held) == ("matched", 0, 0)


def test_only_money_that_went_out_takes_a_payment_of_its_amount_back() -> None:
    job = due()
    (paid,) = read(transfer("300.00", reference=reference(job)))
    out, came = read(
        transfer("299.00", direction="DBIT", text=reference(job)), transfer("300.00", text="van"), number="2"
    )

    with pytest.raises(PaymentError, match="of this amount"):
        matching.take_back_by_hand(entry_id=out.pk, taken_back_id=paid.pk, by=None)
    with pytest.raises(PaymentError, match="went out"):
        matching.take_back_by_hand(entry_id=came.pk, taken_back_id=paid.pk, by=None)
    with pytest.raises(PaymentError, match="came in"):
        matching.match_by_hand(entry_id=out.pk, job_id=job.pk, by=None)
    assert account(job).held == 300


def test_money_that_came_back_is_not_booked_as_a_payment() -> None:
    job = due()
    read(transfer("300.00", reference=reference(job)))
    decide_refund(job_id=job.pk, amount=Decimal(180), why="policy", by=factories.staff("manager"), press="k")
    read(transfer("180.00", direction="DBIT", text=reference(job)), number="2")

    (back,) = read(transfer("180.00", reversal=True, text=reference(job)), number="3")

    assert (back.state, back.reason, account(job).held) == ("open", "came_back", 120)


def test_a_days_closing_list_tells_each_way_and_takes_back_what_was_undone() -> None:
    job, today = due("900.00"), timezone.localdate()
    for method, amount in (("cash", "20.00"), ("cash", "30.00"), ("card", "100.00")):
        paid = book_payment(job_id=job.pk, amount=Decimal(amount), received_on=today, method=method, by=None)
    undo_payment(payment_id=paid.pk, by=None, note="wrong job")
    yesterday = today - timedelta(days=1)
    book_payment(job_id=job.pk, amount=Decimal(7), received_on=yesterday, method="cash", by=None)

    found = closing(today)

    assert [(way.total, len(way.rows)) for way in found.ways] == [(0, 0), (0, 2), (50, 2)]
    assert (found.came_in, found.went_back, found.after) == (50, 0, None)
    assert (closing(yesterday).came_in, closing(yesterday).after) == (7, today)
