"""One job from sent to handed over and rechecked, by the people whose work it is, through the pages."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.models import Job
from shop.money.service import book_payment
from shop.parts.service import place_order, receive
from shop.planning.demo import make_demo_bays
from tests.shop import factories

pytestmark = pytest.mark.django_db


class Desk:
    """A member of staff at the browser; promised work is kept after each request."""

    def __init__(self, role: str, after_commit) -> None:
        self.user = factories.staff(role)
        self.client, self.after_commit = Client(), after_commit
        self.client.force_login(self.user)

    def post(self, name: str, arguments: list, data: dict) -> str:
        with self.after_commit(execute=True):
            page = self.client.post(reverse(f"shop:{name}", args=arguments), data, follow=True)
        assert page.status_code == 200, page.content.decode()
        return page.content.decode()

    def press(self, job: Job, action: str, **data) -> str:
        job.refresh_from_db()
        known = {"action": action, "version": job.version, "revision": job.revision_id}
        return self.post("act", [job.number], known | data)


def test_from_sent_to_rechecked(django_capture_on_commit_callbacks) -> None:
    after_commit = django_capture_on_commit_callbacks
    make_demo_bays()
    reviewer, technician = Desk("reviewer", after_commit), Desk("technician", after_commit)
    buyer = factories.staff("buyer")
    unsure = factories.fit_row(verdict="measure", value=3.5, margin=0.5, tolerance=2.0)
    job = factories.job(factories.evaluation(unsure))

    reviewer.press(job, "take")
    reviewer.press(job, "confirm", why="If the brakes clear by 3 mm.")
    job.refresh_from_db()
    assert job.state == "deposit_due"

    with after_commit(execute=True):
        book_payment(
            job_id=job.pk,
            amount=Decimal("300.00"),
            received_on=timezone.localdate(),
            method="transfer",
            by=buyer,
        )
    job.refresh_from_db()
    assert job.state == "deposit_in"
    assert not job.operations.filter(planned_start=None).exists()  # planned by itself

    with after_commit(execute=True):
        order = place_order(supplier="northwheel", by=buyer)
    job.refresh_from_db()
    assert job.state == "parts_on_order"
    for quantity in (1, 3):  # in two deliveries
        line = order.lines.get()
        with after_commit(execute=True):
            receive(order_id=order.pk, quantities={line.pk: Decimal(quantity)}, by=buyer)
        job.refresh_from_db()
        assert (job.state == "parts_in") == (quantity == 3)

    assert "booked" in reviewer.press(job, "book")
    job.refresh_from_db()
    assert job.booked_start < job.promised_ready_at
    technician.press(job, "start")

    technician.post(
        "measured",
        [job.number],
        {"key": "front-brake_clearance", "value": "4.5", "uncertainty": "0.5", "next": "bench"},
    )
    for step in job.operations.all():
        readings = {"readings": "160 161 159 160 160"} if step.torque_nm else {}
        technician.post("bench_step", [job.number, step.pk], {"do": "tick", "reason": "one go"} | readings)
    technician.press(job, "ready")
    book_payment(
        job_id=job.pk,
        amount=Decimal("890.00"),
        received_on=timezone.localdate(),
        method="card",
        by=reviewer.user,
    )
    reviewer.press(job, "hand-over")
    job.refresh_from_db()
    assert job.state == "handed_over"
    assert job.recheck_due_on - timezone.localdate() == timedelta(days=7)
    reviewer.press(job, "recheck", why="All tight after 80 km.")

    states = [entry.to_state for entry in job.history.all() if entry.to_state]
    assert states == [
        "sent", "in_review", "agreed", "deposit_due", "deposit_in", "parts_on_order", "parts_in", "booked",
        "in_the_bay", "ready", "handed_over",
    ]  # fmt: skip
    assert job.history.last().action == "job.rechecked"
