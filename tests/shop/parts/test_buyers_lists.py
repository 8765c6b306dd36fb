"""What the buyer's pages say of a line, of a job that waits, and of the shelf."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from shop.jobs.said import hold_of, worded
from shop.models import Job, JobPart, PurchaseLine, StockLevel
from shop.parts.demand import Claim, Expected, Outlook
from shop.parts.receiving import close_line, receive
from shop.parts.selectors import PartRow, job_rows, waiting_jobs
from shop.parts.service import advance, place_order, plan_orders, reserve, shortages
from shop.parts.shortages import refresh
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate


def row(issued: int = 0, reserved: int = 0, *, missing: int | None = None, expected: int = 0) -> PartRow:
    """Return a line of four; ``missing`` None says that nobody asks for it yet."""
    part = JobPart(quantity=Decimal(4), issued=Decimal(issued))
    claim = Claim(part, Decimal(4), None)
    coming = (Expected(PurchaseLine(), Decimal(expected)),) if expected else ()
    view = None if missing is None else Outlook(claim, Decimal(0), coming, Decimal(missing))
    return PartRow(part, None, Decimal(reserved), view)


@pytest.mark.parametrize(
    ("seen", "state", "tone"),
    [
        (row(issued=4), "handed out", "is-ok"),
        (row(issued=5, missing=0), "handed out", "is-ok"),
        (row(reserved=4), "here", "is-ok"),
        (row(issued=3, reserved=1), "here", "is-ok"),
        (row(issued=3), "listed", "is-info"),
        (row(missing=4), "to order", "is-warn"),
        (row(missing=1, expected=3), "part on order", "is-info"),
        (row(missing=0, expected=4), "on order", "is-info"),
        (row(reserved=3, missing=0), "in stock", "is-ok"),
    ],
)
def test_one_word_a_line(seen: PartRow, state: str, tone: str) -> None:
    assert (seen.state, seen.tone) == (state, tone)


def test_a_line_is_late_when_its_day_is_past_and_it_is_not_here() -> None:
    def late(seen: PartRow, days: int) -> bool:
        return PartRow(seen.part, TODAY() + timedelta(days=days), seen.reserved, seen.outlook).is_late

    assert [late(row(missing=4), days) for days in (-1, 0, 1)] == [True, False, False]
    assert [late(each, -1) for each in (row(issued=4), row(reserved=4))] == [False, False]
    assert row(missing=4).is_late is False


def test_each_line_of_a_job_with_where_it_stands() -> None:
    job = job_with(factories.part("a"), factories.part("b"), factories.part("c"))
    place_order(supplier="northwheel", by=None)
    job.parts.filter(item="b").update(issued=4)
    StockLevel.objects.filter(sku="c").update(quantity=3)
    reserve(skus=["c"])
    job.operations.filter(key="book-in").update(planned_start=timezone.now() + timedelta(days=3))
    found = {each.part.item: (each.state, each.reserved) for each in job_rows(job)}
    assert found == {"a": ("on order", 0), "b": ("handed out", 0), "c": ("on order", 3)}
    need_by = timezone.localdate(timezone.now() + timedelta(days=3)) - timedelta(days=1)
    assert {each.need_by for each in job_rows(job)} == {need_by}


def test_jobs_that_wait_say_what_is_complete_and_what_is_short() -> None:
    first = job_with(factories.part("a", name="Ring"), factories.part("b", name="Bolt"), factories.part("c"))
    second = job_with(factories.part("a", name="Ring"))
    job_with(factories.part("d"), state="in_review")
    Job.objects.filter(pk=second.pk).update(state_since=timezone.now() - timedelta(days=9))
    complete = job_with(factories.part("e"))
    for sku in ("c", "e"):
        StockLevel.objects.create(sku=sku, quantity=4)
        reserve(skus=[sku])
    StockLevel.objects.create(sku="b", quantity=1)
    refresh()
    one, two = waiting_jobs()
    assert (one.job, one.lines, one.complete, one.missing) == (second, 1, 0, ("Ring",))
    assert (two.job, two.lines, two.complete) == (first, 3, 1)
    assert sorted(two.missing) == ["Bolt", "Ring"]
    assert complete not in (one.job, two.job)


# What is short, in words.


def day(days: int) -> str:
    moment = TODAY() + timedelta(days=days)
    return f"{moment.day} {moment:%b}"


def needed_in(job: Job, days: int) -> None:
    """Have the job's work begin the day after so many days."""
    job.operations.update(planned_start=timezone.now() + timedelta(days=days + 1))


def short_of(job: Job) -> list[str]:
    return [worded(one, job).replace("\xa0", " ") for one in shortages(job)]


def test_what_nobody_ordered_is_short_once_it_is_needed() -> None:
    job = job_with()
    needed_in(job, 0)
    assert short_of(job) == []
    needed_in(job, -1)
    assert short_of(job) == [f"4 × Wheel A 8 x 18 not ordered, needed {day(-1)}"]
    job.operations.update(planned_start=None)
    assert short_of(job) == []


def test_what_comes_late_is_short_with_the_day_it_comes() -> None:
    job = job_with(factories.part("tape", name="Tape", unit="m", quantity=Decimal("2.50")))
    order = place_order(supplier="northwheel", by=None)
    needed_in(job, 3)
    assert short_of(job) == []
    for told, said in (
        (3, []),
        (4, [f"2.5 m Tape on {order.number}, needed {day(3)}, comes {day(4)}"]),
    ):
        PurchaseLine.objects.update(expected_on=TODAY() + timedelta(days=told))
        assert short_of(job) == said
    PurchaseLine.objects.update(expected_on=None)
    needed_in(job, -2)
    assert short_of(job) == [f"2.5 m Tape on {order.number}, needed {day(-2)}"]


def test_what_will_not_come_is_short_until_it_is_ordered_again() -> None:
    job = job_with()
    order = place_order(supplier="northwheel", by=None)
    line = order.lines.get()
    receive(order_id=order.pk, quantities={line.pk: Decimal(1)}, by=None)
    close_line(order_id=order.pk, line_id=line.pk, why="not made any more")
    assert short_of(job) == ["3 × Wheel A 8 x 18 will not come as ordered"]
    place_order(supplier="northwheel", by=None)
    assert short_of(job) == []


def test_the_hold_for_what_is_short_is_ours_alone() -> None:
    job = job_with()
    needed_in(job, -1)

    def held() -> str:
        advance(job_id=job.pk)
        return hold_of(Job.objects.get(pk=job.pk)).replace("\xa0", " ")

    assert held() == f"Parts short: 4 × Wheel A 8 x 18 not ordered, needed {day(-1)}"
    place_order(supplier="northwheel", by=None)
    needed_in(job, 9)
    assert held() == ""
    Job.objects.update(on_hold_reason="The customer is away.")
    needed_in(job, -1)
    assert held() == "The customer is away."
    needed_in(job, 9)
    assert held() == "The customer is away."


def test_a_need_is_split_by_job_with_what_is_over() -> None:
    one, two = job_with(), job_with(factories.part(quantity=Decimal(3), pack_size=Decimal(5)))
    StockLevel.objects.create(sku="wheel-a", quantity=1)
    (group,) = plan_orders()
    (need,) = group.needs
    assert need.by_job == [(one.number, 3), (two.number, 3)]
    # Seven are wanted, one is there: two packs of five leave four over.
    assert (need.wanted, need.free, need.on_order, need.quantity, need.spare) == (7, 1, 0, 10, 4)
    assert (group.code, group.name, group.cost_net) == ("northwheel", "Northwheel", Decimal("1100.00"))
    assert (group.late, group.order_by, need.need_by, need.order_by) == (False, None, None, None)
    assert plan_orders(supplier="achs") == []
    assert [each.code for each in plan_orders(supplier="northwheel")] == ["northwheel"]


def test_less_than_one_is_a_need_too() -> None:
    job = job_with(factories.part("lacquer", unit="l", quantity=Decimal("0.500")))
    ((need,),) = [group.needs for group in plan_orders()]
    assert (need.by_job, need.quantity) == ([(job.number, Decimal("0.5"))], 1)


def test_the_most_urgent_supplier_and_item_come_first() -> None:
    job = job_with(
        factories.part("a", name="Zinc", lead_time_days=2),
        factories.part("b", name="Bolt", lead_time_days=9),
        factories.part("c", supplier="achs", supplier_name="Achs", lead_time_days=5),
    )
    job_with(factories.part("d", supplier="unplanned", supplier_name="Aardvark"))
    needed_in(job, 9)
    groups = plan_orders()
    assert [group.code for group in groups] == ["northwheel", "achs", "unplanned"]
    assert [need.part.name for need in groups[0].needs] == ["Bolt", "Zinc"]
    assert [group.order_by for group in groups] == [TODAY(), TODAY() + timedelta(days=4), None]
    assert [group.late for group in groups] == [False, False, False]
    assert [group.late for group in plan_orders(today=TODAY() + timedelta(days=1))] == [True, False, False]
