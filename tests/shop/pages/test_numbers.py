"""The manager's numbers against sums made by hand."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from shop.figures.selectors import Late, bay_load, margins, outstanding, parts_late, states
from shop.models import Bay, Job, OpeningHours
from shop.money.ledger import book_payment
from shop.money.refunds import decide_refund
from shop.parts.service import place_order
from shop.planning.service import replan
from tests.shop import factories

pytestmark = pytest.mark.django_db


def due(deposit: str, state: str = "deposit_due") -> Job:
    return factories.job(
        factories.evaluation(price=factories.price(deposit=deposit), parts=(factories.part(),)), state=state
    )


def pay(job: Job, amount: str) -> None:
    book_payment(
        job_id=job.pk, amount=Decimal(amount), received_on=timezone.localdate(), method="cash", by=None
    )


@pytest.mark.long
def test_what_was_paid_in_part_is_not_outstanding_any_more() -> None:
    one, two, paid = due("300.00"), due("250.00"), due("100.00")
    assert (outstanding().total, outstanding().jobs) == (650, 3)
    pay(one, "120.10")
    pay(paid, "100.00")
    found = outstanding()
    assert (found.total, found.jobs) == (Decimal("429.90"), 2)
    assert {row.job for row in found.longest} == {one, two}


@pytest.mark.long
def test_money_that_goes_back_is_outstanding_again_and_money_over_makes_up_for_nobody() -> None:
    job, other = due("300.00"), due("200.00")
    pay(job, "350.00")
    assert outstanding().total == 200
    decide_refund(
        job_id=job.pk, amount=Decimal(150), why="Goodwill.", by=factories.staff("manager"), press="k"
    )
    found = outstanding()
    assert (found.total, found.jobs) == (300, 2)
    assert {row.job for row in found.longest} == {job, other}


@pytest.mark.parametrize(
    ("state", "total"),
    [
        ("in_review", 0),
        ("agreed", 0),
        ("deposit_due", 300),
        ("ready", 1190),
        ("handed_over", 1190),
        ("declined", 0),
    ],
)
def test_only_what_was_asked_for_is_outstanding(state: str, total: int) -> None:
    due("300.00", state)
    assert (outstanding().total, outstanding().jobs) == (total, int(total > 0))


def test_the_page_shows_the_same_sum(client: Client) -> None:
    pay(due("300.00"), "120.10")
    client.force_login(factories.staff("manager"))
    assert "179.90" in client.get("/workshop/numbers/").content.decode()


def test_every_state_is_counted_also_an_empty_one() -> None:
    for state in ("sent", "sent", "booked"):
        factories.job(state=state)
    found = dict(states())
    assert (found["sent"], found["booked"], found["ready"], len(found)) == (2, 1, 0, 14)
    assert [state.value for state, _ in states()][:3] == ["sent", "in_review", "waiting"]


def test_lines_whose_day_has_come_are_late_until_they_are_here() -> None:
    due("300.00", "deposit_in")
    line = place_order(supplier="northwheel", by=None).lines.get()
    today = date(2026, 6, 10)
    assert parts_late(today) == Late(0, [])
    for need_by, late in ((today, []), (today - timedelta(days=1), [line])):
        type(line).objects.update(need_by=need_by)
        assert parts_late(today) == Late(len(late), late)
    type(line).objects.update(received=3)
    assert parts_late(today) == Late(1, [line])
    type(line).objects.update(received=4)
    assert parts_late(today) == Late(0, [])
    type(line).objects.update(received=3, not_coming="not made any more")
    assert parts_late(today) == Late(0, [])


def test_what_a_job_leaves_after_its_parts() -> None:
    assert margins() == ([], None)
    job = due("300.00", "deposit_in")
    due("300.00", "in_review")
    rows, together = margins()
    (row,) = rows
    # 1190.00 with 19 per cent is 1000.00 net; four wheels at 110.00; steps of 4.5 hours.
    assert (row.job, row.net, row.parts_cost, row.margin) == (job, 1000, 440, 560)
    assert (row.hands_on_h, row.per_hour, row.pct) == (4.5, Decimal("124.44"), Decimal("56.0"))
    due("300.00", "handed_over")
    rows, together = margins()
    assert together is not None
    assert (len(rows), together.net, together.margin, together.hands_on_h) == (2, 2000, 1120, 9.0)
    Job.objects.get(pk=job.pk).parts.update(dropped=True)
    assert sorted(row.parts_cost for row in margins()[0]) == [0, 440]


def test_how_full_each_kind_of_place_is() -> None:
    now = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())
    Bay.objects.create(name="Bay", kind="bay")
    OpeningHours.objects.create(weekday=0, opens="08:00", closes="18:00", people=2)
    step = factories.step("strip", hands_on_h=4.0)
    job = factories.job(factories.evaluation(work=factories.work((step,)), parts=()), state="parts_in")
    replan(now)
    weeks = bay_load(now)
    first, second = weeks[0], weeks[1]
    assert first[0] == date(2026, 3, 2)
    assert second[0] == date(2026, 3, 9)
    loads = {load.kind: load for load in first[1]}
    assert (loads["bay"].planned_h, loads["bay"].capacity_h, loads["bay"].pct) == (4.0, 10.0, 40)
    assert {load.pct for load in second[1]} == {0}
    job.operations.update(is_skipped=True)
    assert {load.pct for load in bay_load(now)[0][1]} == {0}
