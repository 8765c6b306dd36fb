"""What a job's moves mean for its parts, and what parts mean for its dates."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
import time_machine
from django.utils import timezone

from configurator.builds.evaluation import Evaluation
from configurator.models import OutboxEntry
from shop.jobs import service as jobs
from shop.jobs.signals import answers_for, parts_expected
from shop.models import Job, PurchaseLine, PurchaseOrder, Reservation, StockLevel, StockMovement
from shop.parts.demand import need_dates, open_claims, open_lines, outlook
from shop.parts.goods import CREDIT, Trouble, note_trouble
from shop.parts.hooks import when_paper_is_looked_for
from shop.parts.listing import bought_in_vain, make_parts_list
from shop.parts.receiving import close_line, receive
from shop.parts.service import place_order, reserve
from tests.shop import factories
from tests.shop.factories import job_with

pytestmark = pytest.mark.django_db
ZONE = timezone.get_default_timezone()
NOON = datetime(2026, 6, 3, 12, tzinfo=ZONE)
EIGHT_DAYS = timedelta(days=8)


@pytest.fixture(autouse=True)
def _on_the_third_of_june():
    with time_machine.travel(NOON, tick=False):
        yield


def expected(*asked: Job) -> dict[int, list[datetime]]:
    return answers_for(parts_expected, list(asked))


def test_parts_on_order_are_expected_after_their_usual_time_or_on_the_day_told() -> None:
    job, other = job_with(factories.part(lead_time_days=8)), job_with(state="in_review")
    assert expected(job, other) == {}
    order = place_order(supplier="northwheel", by=None)
    assert expected(job, other) == {job.pk: [NOON + EIGHT_DAYS]}
    # Told for the 20th, they are worked with from the morning after.
    PurchaseLine.objects.update(expected_on=date(2026, 6, 20))
    assert expected(job) == {job.pk: [datetime(2026, 6, 21, tzinfo=ZONE)]}
    # What is overdue is not here before tomorrow at this time.
    PurchaseLine.objects.update(expected_on=date(2026, 6, 1))
    assert expected(job) == {job.pk: [NOON + timedelta(days=1)]}
    PurchaseLine.objects.update(expected_on=None)
    PurchaseOrder.objects.update(placed_at=NOON - timedelta(days=30))
    assert expected(job) == {job.pk: [NOON + timedelta(days=1)]}
    assert list(when_paper_is_looked_for(None, number=order.number)) == [{"part__job_id": job.pk}]
    assert list(when_paper_is_looked_for(None, number="PO-0")) == []


def test_the_last_part_decides_and_what_is_here_dropped_or_not_coming_does_not_count() -> None:
    job = job_with(factories.part("a", lead_time_days=4), factories.part("b", lead_time_days=9))
    order = place_order(supplier="northwheel", by=None)
    soon, late = NOON + timedelta(days=4), NOON + timedelta(days=9)
    assert expected(job) == {job.pk: [late]}
    line = order.lines.get(item="b")
    job.parts.filter(item="b").update(dropped=True)
    assert expected(job) == {job.pk: [soon]}
    job.parts.update(dropped=False)
    receive(order_id=order.pk, quantities={line.pk: Decimal(3)}, by=None)
    assert expected(job) == {job.pk: [late]}
    close_line(order_id=order.pk, line_id=line.pk, why="not made any more")
    assert expected(job) == {job.pk: [soon]}
    receive(order_id=order.pk, quantities={order.lines.get(item="a").pk: Decimal(4)}, by=None)
    assert expected(job) == {}


def test_what_was_given_up_is_not_expected() -> None:
    job = job_with()
    line = place_order(supplier="northwheel", by=None).lines.get()
    bent = Trouble(what="damaged", quantity=Decimal(1), then=CREDIT)
    note_trouble(order_id=line.order_id, line_id=line.pk, trouble=bent, by=None, press="k")
    assert list(expected(job)) == [job.pk]
    receive(order_id=line.order_id, quantities={line.pk: Decimal(3)}, by=None)
    assert expected(job) == {}


def test_the_deposit_reserves_work_hands_out_and_calling_off_gives_free() -> None:
    job, other = job_with(state="deposit_due"), job_with()
    Job.objects.filter(pk=other.pk).update(state="sent")
    StockLevel.objects.create(sku="wheel-a", quantity=10)
    jobs.deposit_received(job_id=job.pk, by="system")
    assert list(Reservation.objects.values_list("part__job", "quantity")) == [(job.pk, 4)]
    moved = job.history.get(action="job.deposit_received")
    assert OutboxEntry.objects.filter(key=f"parts_progress:{job.pk}:deposit-{moved.pk}").count() == 1

    jobs.deposit_gone(job_id=job.pk, by="system", why="bounced")
    assert not Reservation.objects.exists()
    jobs.deposit_received(job_id=job.pk, by="system")
    Job.objects.filter(pk=job.pk).update(state="booked")
    mechanic = factories.staff("technician")
    jobs.start_work(job_id=job.pk, by=mechanic)
    assert not Reservation.objects.exists()
    assert (job.parts.get().issued, StockLevel.objects.get().quantity) == (4, 6)
    handed = StockMovement.objects.get(reason="issued")
    assert (handed.quantity, handed.part, handed.by) == (-4, job.parts.get(), mechanic)


@pytest.mark.parametrize("deed", [jobs.cancel, jobs.decline])
def test_a_job_that_is_off_gives_its_parts_to_whoever_waits(deed) -> None:
    job, waits = job_with(), job_with(factories.part(quantity=Decimal(6)))
    StockLevel.objects.create(sku="wheel-a", quantity=5)
    assert reserve(skus=["wheel-a"]) == {job.pk, waits.pk}
    deed(job_id=job.pk, by=factories.staff("manager"), why="Sold.")
    assert list(Reservation.objects.values_list("part__job", "quantity")) == [(waits.pk, 5)]


# Demand.


def test_a_line_is_needed_the_day_before_the_first_step_that_serves_it() -> None:
    job = job_with(factories.part("a", for_choices=("lacquer",)), factories.part("b", for_choices=("radio",)))
    parts = {part.item: part for part in job.parts.all()}

    def needed() -> dict[str, date | None]:
        dates = need_dates(parts.values())
        return {item: dates[part.pk] for item, part in parts.items()}

    assert needed() == {"a": None, "b": None}
    job.operations.filter(key="lacquer").update(planned_start=NOON + timedelta(days=3))
    assert needed() == {"a": date(2026, 6, 5), "b": date(2026, 6, 5)}
    job.operations.filter(key="book-in").update(planned_start=NOON + timedelta(days=1))
    assert needed() == {"a": date(2026, 6, 5), "b": date(2026, 6, 3)}
    # A step that is left out asks for nothing.
    job.operations.filter(key="lacquer").update(is_skipped=True)
    assert needed() == {"a": date(2026, 6, 3), "b": date(2026, 6, 3)}


def test_who_needs_it_first_is_served_first_and_of_equals_the_earlier_job() -> None:
    later, unplanned, sooner, equal = (job_with() for _ in range(4))
    for job, days in ((later, 9), (sooner, 2), (equal, 9)):
        job.operations.update(planned_start=NOON + timedelta(days=days))
    claims = open_claims()
    assert [claim.part.job for claim in claims] == [sooner, later, equal, unplanned]
    assert [claim.need_by for claim in claims] == [
        date(2026, 6, 4),
        date(2026, 6, 11),
        date(2026, 6, 11),
        None,
    ]
    assert {claim.quantity for claim in claims} == {Decimal(4)}


def test_only_what_is_lacking_is_claimed() -> None:
    job = job_with(factories.part("a"), factories.part("b"), factories.part("c"))
    job_with(factories.part("a"), state="deposit_due")
    job.parts.filter(item="a").update(issued=3)
    job.parts.filter(item="b").update(issued=4)
    StockLevel.objects.create(sku="c", quantity=1)
    reserve(skus=["c"])
    assert {claim.part.item: claim.quantity for claim in open_claims()} == {"a": 1, "c": 3}
    assert [claim.part.item for claim in open_claims(["a"])] == ["a"]
    assert open_claims([]) == []


def test_a_claim_is_met_from_the_shelf_then_from_the_oldest_order_and_the_rest_is_missing() -> None:
    job_with(factories.part(quantity=Decimal(4)))
    first = place_order(supplier="northwheel", by=None)
    job_with(factories.part(quantity=Decimal(3)))
    second = place_order(supplier="northwheel", by=None)
    PurchaseOrder.objects.filter(pk=second.pk).update(placed_at=NOON + timedelta(hours=1))
    job_with(factories.part(quantity=Decimal(9)), factories.part("b", quantity=Decimal(2)))
    views = outlook(open_claims(), {"wheel-a": Decimal(5)})
    seen = [
        (view.from_stock, [(each.line.order, each.quantity) for each in view.expected], view.missing)
        for view in views
    ]
    assert seen == [
        (4, [], 0),
        (1, [(first, 2)], 0),
        (0, [(first, 2), (second, 3)], 4),
        (0, [], 2),
    ]
    assert [line.order for line in open_lines()] == [first, second]
    assert open_lines(["b"]) == []
    PurchaseLine.objects.filter(order=first).update(received=4)
    assert [line.order for line in open_lines()] == [second]


# Amendments.


def test_what_was_bought_and_is_in_no_build_any_more_is_named_with_its_price() -> None:
    fixed = {"returnable": False, "unit_price": Decimal("12.50")}
    job = job_with(
        factories.part("a", name="Badge", quantity=Decimal(4), **fixed),
        factories.part("b", quantity=Decimal(4)),
        factories.part("c", name="Tape", unit="m", quantity=Decimal("2.50"), **fixed),
        factories.part("d", at_cost_of="workshop", **fixed),
    )
    order = place_order(supplier="northwheel", by=None)
    nothing, two = factories.evaluation(parts=()), (factories.part("a", quantity=Decimal(2), **fixed),)
    assert bought_in_vain(job=job, evaluation=nothing) == [
        ("4 each Badge", Decimal("50.00")),
        ("2.5 m Tape", Decimal("31.25")),
    ]
    assert bought_in_vain(job=job, evaluation=factories.evaluation(parts=two))[0] == (
        "2 each Badge",
        Decimal("25.00"),
    )
    # Of an order that ended, what came; what was handed out counts as well.
    badges = order.lines.get(item="a")
    receive(order_id=order.pk, quantities={badges.pk: Decimal(1)}, by=None)
    close_line(order_id=order.pk, line_id=badges.pk, why="not made any more")
    assert bought_in_vain(job=job, evaluation=nothing)[0] == ("1 each Badge", Decimal("12.50"))
    job.parts.filter(item="a").update(issued=3)
    assert bought_in_vain(job=job, evaluation=nothing)[0] == ("3 each Badge", Decimal("37.50"))
    make_parts_list(job=job, evaluation=nothing)
    assert bought_in_vain(job=job, evaluation=nothing) == []


def painted(*parts: object, colour: str) -> Evaluation:
    """Return a build of these parts and paint of a colour."""
    return factories.evaluation(
        parts=(*parts, factories.part("paint", kind="paint", facts={"finish": colour}))
    )


def test_lines_are_numbered_in_the_builds_order_and_known_by_what_and_where() -> None:
    places = [("front", 1), ("rear", 2), ("rear", 3)]
    rings = [factories.part("ring", where=where, quantity=Decimal(n)) for where, n in places]
    job = factories.job(painted(*rings, colour="red"), state="deposit_in")
    assert list(job.parts.order_by("position").values_list("position", "where", "quantity")) == [
        (1, "front", 1),
        (2, "rear", 2),
        (3, "rear", 3),
        (4, "front and rear axle", 4),
    ]
    keys = {part.pk: part.line_key for part in job.parts.all()}
    assert len(set(keys.values())) == 4
    lines = make_parts_list(job=job, evaluation=painted(*rings[::-1], colour="blue"))
    assert [line.position for line in lines] == [1, 2, 3, 4]
    assert [line.pk in keys for line in lines] == [True, True, True, False]
    assert job.parts.get(dropped=True).facts == {"finish": "red"}
    # Back to the first build, the dropped line is wanted again.
    make_parts_list(job=job, evaluation=painted(*rings, colour="red"))
    assert {part.pk for part in job.parts.filter(dropped=False)} == set(keys)
