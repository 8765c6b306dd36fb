"""What goes back, is owed or comes off, as it is written down: whole rows with the history beside them."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from configurator.models import OutboxEntry
from shop.models import Settlement
from shop.money.ledger import withdraw_refund
from shop.money.reductions import reduce_price
from shop.money.refunds import decide_owed, decide_refund, mark_refund_paid, refund_due
from tests.shop import factories

from .ledgers import LONG_AGO, TODAY, due, pay, refused, told

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("one_day")]


def test_a_refund_is_written_whole_and_once(manager) -> None:
    job = due("cancelled")
    pay(job)
    form: dict[str, Any] = {"amount": Decimal("120.50"), "why": " goodwill ", "by": manager}
    refund = decide_refund(job_id=job.pk, press="k", **form)
    assert (refund.job, refund.amount, refund.kept) == (job, Decimal("120.50"), Decimal("179.50"))
    assert (refund.why, refund.press, refund.decided_by, refund.paid_on) == ("goodwill", "k", manager, None)
    entry = told(job, "money.refund_decided")
    assert (entry.who, entry.why, entry.data) == ("mia", "goodwill", {"amount": "120.50"})
    assert OutboxEntry.objects.get(payload__template="refund").payload["occasion"] == refund.pk
    assert decide_refund(job_id=job.pk, press="k", **form) == refund
    said = refused(decide_refund, job_id=job.pk, press="k", **(form | {"amount": Decimal(5)}))
    assert said[0].startswith("This form has already been sent, with 120.50.")
    for wrong, answer in (
        ({"why": " "}, ("Say why this amount goes back.", "why")),
        ({"amount": Decimal(0)}, ("Enter an amount above nothing.", "amount")),
        ({"amount": Decimal("179.51")}, ("Only 179.50 is held for this job.", "amount")),
    ):
        assert refused(decide_refund, job_id=job.pk, press="other", **(form | wrong)) == answer
    assert decide_refund(job_id=job.pk, press="o", **(form | {"amount": Decimal("179.50")})).kept == 0


def test_a_payout_is_written_on_its_first_day(manager) -> None:
    job = due("cancelled")
    pay(job)
    refund = decide_refund(job_id=job.pk, amount=Decimal(100), why="x", by=manager, press="k")
    ahead = {"refund_id": refund.pk, "paid_on": TODAY + timedelta(1), "by": manager}
    assert refused(mark_refund_paid, **ahead) == ("The day is still to come.", "paid_on")
    mistyped = ahead | {"paid_on": date(26, 11, 2)}
    assert refused(mark_refund_paid, **mistyped) == (LONG_AGO, "paid_on")
    assert mark_refund_paid(refund_id=refund.pk, paid_on=TODAY, by=manager).paid_on == TODAY
    entry = told(job, "money.refund_paid")
    assert (entry.who, entry.data) == ("mia", {"amount": "100.00"})
    later = mark_refund_paid(refund_id=refund.pk, paid_on=TODAY - timedelta(1), by=manager)
    assert later.paid_on == TODAY
    assert (
        refused(withdraw_refund, refund_id=refund.pk, by=manager, why="x")[0]
        == "It has been paid out already."
    )
    other = decide_refund(job_id=job.pk, amount=Decimal(50), why="x", by=manager, press="l")
    assert refused(withdraw_refund, refund_id=other.pk, by=manager, why=" ") == (
        "Say why it is withdrawn.",
        "why",
    )
    assert withdraw_refund(refund_id=other.pk, by=manager, why=" wrong account ")
    assert not withdraw_refund(refund_id=other.pk, by=manager, why="again")
    other.refresh_from_db()
    assert (other.withdrawn_why, other.withdrawn_at) == ("wrong account", timezone.now())
    entry = told(job, "money.refund_withdrawn")
    assert (entry.who, entry.why, entry.data) == ("mia", "wrong account", {"amount": "50.00"})
    assert (
        refused(mark_refund_paid, refund_id=other.pk, paid_on=TODAY, by=manager)[0]
        == "This refund was withdrawn."
    )


def test_what_is_owed_is_decided_once_with_its_reason(manager) -> None:
    job = due("cancelled")
    form: dict[str, Any] = {"owed": Decimal("80.00"), "why": " the hours worked ", "by": manager}
    made = decide_owed(job_id=job.pk, press="k", **form)
    assert (made.owed, made.why, made.lines) == (80, "the hours worked", [["the hours worked", "80.00"]])
    assert (made.by, made.press) == (manager, "k")
    entry = told(job, "money.owed_decided")
    assert (entry.who, entry.why, entry.data) == ("mia", "the hours worked", {"amount": "80.00"})
    assert decide_owed(job_id=job.pk, press="k", **form) == made
    assert Settlement.objects.filter(press="k").count() == 1
    for wrong, answer in (
        ({"why": ""}, ("Say why this is owed.", "why")),
        ({"owed": Decimal("-0.01")}, ("From nothing to the price of the whole job.", "owed")),
        ({"owed": Decimal("1190.01")}, ("From nothing to the price of the whole job.", "owed")),
    ):
        assert refused(decide_owed, job_id=job.pk, press="o", **(form | wrong)) == answer
    for owed in (Decimal(0), Decimal(1190)):
        assert decide_owed(job_id=job.pk, press=str(owed), **(form | {"owed": owed})).owed == owed
    said = refused(decide_owed, job_id=job.pk, press="k", **(form | {"owed": Decimal(1)}))
    assert said[0].startswith("This form has already been sent, with 80.00.")
    open_job = due()
    assert (
        "once the job is declined or called off"
        in refused(decide_owed, job_id=open_job.pk, press="x", **form)[0]
    )


def test_work_done_is_owed_by_its_share_of_the_hours() -> None:
    price = factories.price().model_copy(update={"labour": Decimal("450.00")})
    job = factories.job(factories.evaluation(price=price, parts=()), state="in_the_bay")
    job.operations.filter(key__in=("wheels-off", "lacquer")).update(done_at=timezone.now())
    job.operations.filter(key="lacquer").update(is_skipped=True)
    found = refund_due(job)
    # One hour of four and a half.
    assert (found.owed, found.lines) == (Decimal("100.00"), (("Work done, 1 hours", Decimal("100.00")),))
    assert (found.held, found.kept, found.amount, found.still_owed) == (0, 0, 0, 100)
    pay(job, Decimal(130))
    found = refund_due(job)
    assert (found.held, found.kept, found.amount, found.still_owed) == (130, 100, 30, 0)


def test_a_reduction_is_written_whole_and_once(manager) -> None:
    job = due()
    form: dict[str, Any] = {"amount": Decimal("90.00"), "why": " scratched door ", "by": manager}
    made = reduce_price(job_id=job.pk, press="k", **form)
    assert (made.job, made.amount, made.why, made.by, made.press) == (job, 90, "scratched door", manager, "k")
    entry = told(job, "money.reduced")
    assert (entry.who, entry.why, entry.data) == ("mia", "scratched door", {"amount": "90.00"})
    assert reduce_price(job_id=job.pk, press="k", **form) == made
    assert (
        "already been sent" in refused(reduce_price, job_id=job.pk, press="k", **(form | {"why": "other"}))[0]
    )
    for wrong, answer in (
        ({"why": ""}, ("Say why: the customer reads it.", "why")),
        ({"amount": Decimal(0)}, ("Above nothing, and not more than the price of 1100.00.", "amount")),
        (
            {"amount": Decimal("1100.01")},
            ("Above nothing, and not more than the price of 1100.00.", "amount"),
        ),
    ):
        assert refused(reduce_price, job_id=job.pk, press="o", **(form | wrong)) == answer
    assert reduce_price(job_id=job.pk, press="o", **(form | {"amount": Decimal(1100)})).amount == 1100
    off = due("cancelled")
    assert "decide what is owed" in refused(reduce_price, job_id=off.pk, press="x", **form)[0]
