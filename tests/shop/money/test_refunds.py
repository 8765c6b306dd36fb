"""What goes back of a job that was called off, and what is kept."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from shop.jobs import service as jobs
from shop.models import Job, Refund
from shop.money.refunds import decide_refund, mark_refund_paid, refund_due
from shop.money.service import PaymentError
from shop.money.statements.importing import import_statement
from shop.parts.receiving import close_line, receive
from shop.parts.service import place_order
from tests.shop import factories

from .camt_samples import statement, transfer
from .transfers import due, make_workshop, reference

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _workshop(db: None) -> None:
    make_workshop()


def test_a_declined_job_gives_everything_back() -> None:
    job = due()
    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))
    jobs.decline(job_id=job.pk, by=factories.staff("reviewer"), why="no room before winter")
    job.refresh_from_db()

    found = refund_due(job)

    assert (found.held, found.kept, found.amount) == (300, 0, 300)


def test_a_cancelled_job_keeps_what_cannot_be_sent_back() -> None:
    parts = (
        factories.part("panel", returnable=False, quantity=Decimal(1), unit_price=Decimal("120.00")),
        factories.part("wheel"),
    )
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))
    place_order(supplier="northwheel", by=None)
    jobs.cancel(job_id=job.pk, by="customer", why="sold the van")
    job.refresh_from_db()

    found = refund_due(job)

    assert (found.amount, found.kept, found.lines) == (
        180,
        120,
        (("1\xa0× Wheel A 8 x 18", Decimal("120.00")),),
    )


def test_of_an_order_that_ended_only_the_goods_that_came_are_kept() -> None:
    parts = (factories.part("panel", returnable=False, quantity=Decimal(4), unit_price=Decimal("50.00")),)
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="march.xml", data=statement(transfer("300.00", reference=reference(job))))
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    assert refund_due(job).kept == 200

    receive(order_id=order.pk, quantities={line.pk: Decimal(1)}, by=None, press="r")
    close_line(order_id=order.pk, line_id=line.pk, why="not made any more")

    found = refund_due(Job.objects.get())
    assert (found.kept, found.amount) == (50, 250)


def test_nothing_is_kept_of_an_order_that_ended_before_anything_came() -> None:
    parts = (factories.part("panel", returnable=False, quantity=Decimal(4), unit_price=Decimal("50.00")),)
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="march.xml", data=statement(transfer("300.00", reference=reference(job))))
    order = place_order(supplier="northwheel", by=None)
    close_line(order_id=order.pk, line_id=order.lines.get().pk, why="not made any more")

    assert (refund_due(Job.objects.get()).kept, refund_due(Job.objects.get()).amount) == (0, 300)


def test_never_more_is_kept_than_was_paid() -> None:
    parts = (factories.part("panel", returnable=False, quantity=Decimal(4), unit_price=Decimal("200.00")),)
    job = factories.job(factories.evaluation(parts=parts), state="deposit_due")
    import_statement(name="march.xml", data=statement(transfer("300.00", reference=reference(job))))
    place_order(supplier="northwheel", by=None)

    assert (refund_due(Job.objects.get()).kept, refund_due(Job.objects.get()).amount) == (300, 0)


def test_a_refund_is_decided_once_paid_once_and_seen_on_the_statement() -> None:
    job, manager = due(), factories.staff("manager")
    import_statement(name="a", data=statement(transfer("300.00", reference=reference(job))))
    for _ in range(2):
        decide_refund(job_id=job.pk, amount=Decimal(180), why="policy", by=manager, press="k")
    with pytest.raises(PaymentError, match="Only 120"):
        decide_refund(job_id=job.pk, amount=Decimal(121), why="more", by=manager, press="l")
    with pytest.raises(PaymentError, match="why"):
        decide_refund(job_id=job.pk, amount=Decimal(1), why=" ", by=manager, press="m")

    out = transfer("180.00", direction="DBIT", text=f"refund {reference(job)}", day="2026-04-02")
    import_statement(name="b", data=statement(out, number="2"))

    refund = Refund.objects.get()
    assert (refund.paid_on, refund.kept, refund.entry.state) == (date(2026, 4, 2), 120, "matched")
    assert mark_refund_paid(refund_id=refund.pk, paid_on=date(2026, 4, 3), by=manager).paid_on == date(
        2026, 4, 2
    )
