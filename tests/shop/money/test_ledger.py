"""The ledger runs to the full price, follows what is undone, and takes the job with it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone, translation

from shop.jobs import bench
from shop.jobs import service as jobs
from shop.jobs.errors import NotAllowedError, UnmetError
from shop.jobs.said import warnings_of
from shop.models import Job
from shop.money import accounts, reductions, refunds
from shop.money.account import account
from shop.money.ledger import PaymentError, withdraw_refund
from shop.money.reasons import in_words
from shop.money.reminders import remind_deposits
from tests.shop import factories

from .ledgers import DEPOSIT, FULL, due, in_state, mails, pay
from .recomputing import kept, plainly

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("state", "asked"),
    [
        ("deposit_due", DEPOSIT),
        ("parts_in", DEPOSIT),
        ("in_the_bay", DEPOSIT),
        ("ready", FULL),
        ("handed_over", FULL),
    ],
)
def test_from_ready_on_the_whole_price_is_asked_for(state: str, asked: Decimal) -> None:
    job = due(state)
    pay(job, Decimal("250.00"))

    now = account(job)

    assert (now.asked, now.outstanding, now.rest) == (asked, asked - 250, FULL - 250)


def test_a_vehicle_not_paid_for_is_handed_over_only_with_a_reason() -> None:
    job, reviewer = due("ready"), factories.staff("reviewer")
    pay(job)
    with pytest.raises(UnmetError, match=r"€890\.00 of the price has not been paid") as refusal:
        jobs.hand_over(job_id=job.pk, by=reviewer)
    assert refusal.value.field == "why"
    assert in_state(job) == "ready"

    jobs.hand_over(job_id=job.pk, by=reviewer, why="Pays by transfer on Friday.")

    entry = job.history.get(action="job.handed_over")
    assert entry.why == "Pays by transfer on Friday."
    assert warnings_of(entry) == ["€890.00 of the price has not been paid."]
    with translation.override("de"):
        assert warnings_of(entry) == ["890,00\xa0€ vom Preis sind noch nicht bezahlt."]
    assert account(Job.objects.get()).outstanding == Decimal("890.00")


def test_a_vehicle_that_is_paid_for_needs_no_reason() -> None:
    job = due("ready")
    pay(job, FULL)
    assert jobs.hand_over(job_id=job.pk, by=factories.staff("reviewer"))
    assert "warnings" not in job.history.get(action="job.handed_over").data


def test_nobody_calls_a_deposit_paid_without_a_booking(manager) -> None:
    job = due()
    with pytest.raises(NotAllowedError):
        jobs.deposit_received(job_id=job.pk, by=manager)
    assert in_state(job) == "deposit_due"


def test_called_off_in_the_bay_what_was_used_and_done_is_owed() -> None:
    """Four wheels at 200.00 are issued; 0.5 of 4.5 hours of 390.00 of work is done: 43.33.

    Parts handed out for work that was not begun go back; with the wheels begun, 1.5 hours are 130.00.
    """
    price = factories.price().model_copy(update={"parts": Decimal(800), "labour": Decimal(390)})
    job = factories.job(factories.evaluation(price=price), state="in_the_bay")
    pay(job)
    job.parts.update(issued=4)
    technician, reviewer = factories.staff("technician"), factories.staff("reviewer")
    bench.tick(job_id=job.pk, step_id=job.operations.get(key="book-in").pk, by=technician)
    assert refunds.refund_due(job).owed == Decimal("43.33")
    begun = {"for_choices": ["front:wheel"], "done_at": timezone.now()}
    job.operations.filter(key="wheels-off").update(**begun)
    job.operations.exclude(torque_nm=None).update(done_at=timezone.now(), hands_on_h=0)

    jobs.cancel(job_id=job.pk, by=reviewer, why="The customer sells the van.")

    job.refresh_from_db()
    now = account(job)
    assert (now.owed, now.held, now.outstanding) == (Decimal("930.00"), DEPOSIT, Decimal("630.00"))
    assert [label for label, _amount in refunds.refund_due(job).lines] == [
        "4\xa0× Wheel A 8 x 18",
        "Work done, 1.5 hours",
    ]
    assert job.ledger.is_to_settle


@pytest.mark.long
def test_the_manager_may_keep_all_or_part_or_nothing(manager) -> None:
    job = due()
    pay(job)
    jobs.cancel(job_id=job.pk, by=manager, why="off")
    job = Job.objects.get()
    assert (account(job).over, job.ledger.is_to_settle) == (DEPOSIT, True)

    refunds.decide_owed(job_id=job.pk, owed=Decimal(80), why="two visits", by=manager, press="o")
    with pytest.raises(PaymentError, match="already been sent"):
        refunds.decide_owed(job_id=job.pk, owed=Decimal(90), why="two visits", by=manager, press="o")
    refunds.decide_refund(job_id=job.pk, amount=Decimal(220), why="the rest", by=manager, press="r")

    job = Job.objects.get()
    assert (account(job).over, account(job).outstanding, job.ledger.is_to_settle) == (0, 0, False)


@pytest.mark.long
def test_giving_back_more_than_the_policy_leaves_nothing_owed(manager) -> None:
    job = due()
    pay(job)
    jobs.cancel(job_id=job.pk, by=manager, why="off")
    refunds.decide_owed(job_id=job.pk, owed=DEPOSIT, why="tyres", by=manager, press="o")
    refunds.decide_refund(job_id=job.pk, amount=Decimal(100), why="goodwill", by=manager, press="r")
    job = Job.objects.get()
    assert (account(job).owed, account(job).outstanding) == (Decimal(200), 0)


def test_a_reduction_lowers_price_and_balance_and_can_cover_the_deposit(manager) -> None:
    job = due()
    reductions.reduce_price(
        job_id=job.pk, amount=Decimal(1000), why="scratched in our yard", by=manager, press="a"
    )
    now = account(job)
    assert (now.price, now.deposit) == (Decimal(190), Decimal(190))
    for wrong in ({"amount": Decimal(191)}, {"why": " "}, {"amount": Decimal(0)}):
        with pytest.raises(PaymentError):
            reductions.reduce_price(
                **({"job_id": job.pk, "amount": Decimal(1), "why": "x", "by": manager, "press": "b"} | wrong)
            )
    pay(job, Decimal(190))
    assert in_state(job) == "deposit_in"


@pytest.mark.long
def test_the_kept_ledger_is_the_plain_sum(manager) -> None:
    job = due()
    for cents in range(1, 40):  # 0.1 + 0.2 and the like, which binary fractions miss
        pay(job, Decimal(cents) / 10)
    assert kept(job) == plainly(job)


@pytest.mark.long
def test_a_customers_account_comes_to_what_the_ledgers_say(manager) -> None:
    found = [due(), due("ready"), due("handed_over"), due("booked")]
    for job in found:
        pay(job, Decimal(100))
    reductions.reduce_price(job_id=found[1].pk, amount=Decimal(90), why="late", by=manager, press="a")
    jobs.cancel(job_id=found[3].pk, by=manager, why="off")
    refunds.decide_owed(job_id=found[3].pk, owed=Decimal(60), why="tyres", by=manager, press="o")
    back = refunds.decide_refund(job_id=found[3].pk, amount=Decimal(40), why="rest", by=manager, press="r")
    withdraw_refund(refund_id=back.pk, by=manager, why="wrong account")

    told = accounts.customer_account(found[0].revision.email)

    now = [account(job) for job in Job.objects.all()]
    assert told.balance == sum(each.asked - each.held for each in now)
    assert told.paid == 400


@pytest.mark.long
def test_a_balance_is_reminded_of_three_times_after_the_handover() -> None:
    job = due("handed_over")
    pay(job)
    due_on = timezone.localdate(job.state_since)
    days = [day for day in range(30) for _twice in range(2)
            if remind_deposits(today=due_on + timedelta(days=day))]  # fmt: skip
    assert days == [1, 8, 15]
    assert mails("balance_reminder") == 3
    pay(job, Decimal("890.00"))
    assert remind_deposits(today=due_on + timedelta(days=40)) == []


def test_why_a_movement_could_not_be_booked_is_read_in_any_language() -> None:
    with pytest.raises(PaymentError) as caught:
        pay(due(), Decimal("0"))
    kept = {"error": caught.value.kept()}
    assert in_words("failed", kept) == "Could not be booked: Enter an amount above nothing."
    with translation.override("de"):
        german = in_words("failed", kept)
    assert german.startswith("Konnte nicht gebucht werden: ")
    assert "amount" not in german
    assert in_words("failed", {"error": "as it was kept before"}).endswith("as it was kept before")
