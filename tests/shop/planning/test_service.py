"""The plan of real jobs: places, times, bookings kept, waits counted, the deciding chain marked."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest
from django.utils import timezone

from shop.jobs import service as jobs
from shop.models import Bay, BrokenPromise, ClosedDay, Job, JobOperation
from shop.planning.dates import estimate
from shop.planning.demo import make_demo_bays
from shop.planning.loading import lead_times, load, parts_here_by
from shop.planning.service import replan, unplanned_jobs
from tests.shop import factories

pytestmark = pytest.mark.django_db
MONDAY_8 = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())  # in whatever zone tests run


@pytest.fixture(autouse=True)
def _bays():
    make_demo_bays()


def steps(job: Job) -> dict[str, JobOperation]:
    return {step.key: step for step in job.operations.select_related("bay")}


def local(moment: datetime) -> str:
    return f"{timezone.localtime(moment):%a %H:%M}"


def test_one_job_is_planned_as_by_hand() -> None:
    job = factories.job(state="parts_in")

    done = replan(MONDAY_8)

    found = steps(job)
    assert (done.jobs, done.steps) == (1, 5)
    assert local(found["book-in"].planned_start) == "Mon 08:00"
    assert local(found["wheels-off"].planned_start) == "Mon 08:45"  # moved to the lift: a quarter of an hour
    assert local(found["lacquer"].planned_start) == "Mon 08:30"
    assert local(found["lacquer"].planned_free) == "Mon 21:30"  # dries 12 h after 09:30, into the night
    assert local(found["final-check"].planned_start) == "Tue 08:00"
    assert [step.bay.kind for step in found.values()] == ["bay", "lift", "booth", "lift", "bay"]
    assert [key for key, step in found.items() if step.is_critical] == ["book-in", "lacquer", "final-check"]


@pytest.mark.long
def test_planning_twice_gives_the_same_plan() -> None:
    for _ in range(3):
        factories.job(state="parts_in")
    replan(MONDAY_8)
    before = list(JobOperation.objects.order_by("pk").values_list("planned_start", "bay"))
    replan(MONDAY_8)
    assert list(JobOperation.objects.order_by("pk").values_list("planned_start", "bay")) == before


def test_the_solver_plans_soundly_too(monkeypatch) -> None:
    monkeypatch.setattr("shop.planning.service.SOLVER_S", 3.0)
    for _ in range(2):
        factories.job(state="parts_in")
    assert replan(MONDAY_8, thorough=True).steps == 10
    assert not JobOperation.objects.filter(planned_start=None).exists()


@pytest.mark.long
def test_what_changes_while_a_plan_is_made_is_planned_too(monkeypatch) -> None:
    from shop.planning import service

    first = factories.job(state="parts_in")
    late: list[Job] = []
    solve = service.plan_greedily

    def slow(problem):
        if not late:
            late.append(factories.job(state="parts_in"))
        return solve(problem)

    monkeypatch.setattr(service, "plan_greedily", slow)
    assert replan(MONDAY_8).jobs == 2
    for job in (first, *late):
        assert not job.operations.filter(planned_start=None).exists()


@pytest.mark.long
def test_what_never_stops_changing_is_planned_while_nothing_can_change(monkeypatch) -> None:
    from shop.planning import service

    late: list[Job] = []
    solve = service.plan_greedily

    def slow(problem):
        if len(late) < 2:
            late.append(factories.job(state="parts_in"))
        return solve(problem)

    monkeypatch.setattr(service, "plan_greedily", slow)
    first = factories.job(state="parts_in")
    stages: list[str] = []
    done = replan(MONDAY_8, progress=lambda stage, percent: stages.append(stage))
    assert (done.jobs, done.steps, stages.count("solving")) == (3, 15, 3)
    for job in (first, *late):
        assert {step.bay is not None for step in steps(job).values()} == {True}


@pytest.mark.long
def test_no_place_is_taken_twice_at_once() -> None:
    for _ in range(6):
        factories.job(state="parts_in")
    replan(MONDAY_8)
    for bay in Bay.objects.all():
        rows = list(bay.operations.order_by("planned_start"))
        for first, then in pairwise(rows):
            assert first.planned_end <= then.planned_start


@pytest.mark.long
def test_a_booking_keeps_its_times_when_others_come() -> None:
    booked = factories.job(state="parts_in")
    replan(MONDAY_8)
    jobs.book(job_id=booked.pk, by=factories.staff("reviewer"))
    before = {key: step.planned_start for key, step in steps(booked).items()}
    for _ in range(4):
        factories.job(state="parts_in")
    assert replan(MONDAY_8 - timedelta(minutes=1)).broken == ()
    assert {key: step.planned_start for key, step in steps(booked).items()} == before


@pytest.mark.long
def test_of_two_bookings_for_one_place_the_earlier_stays_and_the_other_is_named() -> None:
    first, second = factories.job(state="parts_in"), factories.job(state="parts_in")
    replan(MONDAY_8)
    reviewer = factories.staff("reviewer")
    for job in (first, second):
        jobs.book(job_id=job.pk, by=reviewer)
    before = {key: step.planned_start for key, step in steps(first).items()}
    Bay.objects.filter(name="Bay 2").update(is_open=False)
    done = replan(MONDAY_8 - timedelta(minutes=1))
    assert done.broken == (second.number,)
    row = BrokenPromise.objects.get(settled="")
    assert (row.job, row.because, row.promised_start) == (second, "place", MONDAY_8)
    assert row.planned_start > row.promised_start
    assert {key: step.planned_start for key, step in steps(first).items()} == before
    assert {step.bay.name for step in steps(second).values() if step.resource == "bay"} == {"Bay 1"}


def test_done_steps_are_left_and_their_waits_still_count() -> None:
    job = factories.job(state="in_the_bay")
    rows = steps(job)
    at = MONDAY_8 + timedelta(hours=1)
    for key in ("book-in", "wheels-off", "front:torque", "lacquer"):
        JobOperation.objects.filter(pk=rows[key].pk).update(done_at=at)
    replan(at)
    # Lacquer done at 09:00 dries until 21:00, so the final check is on Tuesday.
    assert local(steps(job)["final-check"].planned_start) == "Tue 08:00"
    assert steps(job)["lacquer"].planned_start is None


def test_steps_without_hands_pass_their_wait_on() -> None:
    plan = (
        factories.step("paint", resource="booth", wait_h=1.0),
        factories.step("cure", resource="booth", hands_on_h=0.0, wait_h=12.0, after=("paint",)),
        factories.step("refit", after=("cure",)),
    )
    job = factories.job(factories.evaluation(work=factories.work(plan)), state="parts_in")
    replan(MONDAY_8)
    found = steps(job)
    assert local(found["paint"].planned_free) == "Mon 10:00"
    assert (local(found["cure"].planned_start), local(found["cure"].planned_free)) == (
        "Mon 10:00",
        "Mon 22:00",
    )
    assert local(found["refit"].planned_start) == "Tue 08:00"


def test_parts_still_to_come_put_the_work_off() -> None:
    late = factories.evaluation(parts=(factories.part(lead_time_days=5),))
    here, coming = factories.job(late, state="parts_in"), factories.job(late, state="deposit_in")
    lead = lead_times([here, coming])
    assert lead == {coming.pk: timedelta(days=5)}
    assert parts_here_by(here, MONDAY_8, timedelta(0)) == MONDAY_8
    assert parts_here_by(coming, MONDAY_8, lead[coming.pk]) == MONDAY_8 + timedelta(days=5)
    replan(MONDAY_8)
    start = timezone.localtime(steps(coming)["book-in"].planned_start)  # Saturday is not worked
    assert (start.date(), local(start)) == (date(2026, 3, 9), "Mon 08:00")


def test_closed_days_are_not_planned() -> None:
    ClosedDay.objects.create(day=MONDAY_8.date(), name="Stocktaking")
    job = factories.job(state="parts_in")
    replan(MONDAY_8)
    assert local(steps(job)["book-in"].planned_start) == "Tue 08:00"


def test_without_a_booth_only_the_jobs_that_need_it_are_left_out() -> None:
    job = factories.job(state="parts_in")
    replan(MONDAY_8)
    Bay.objects.filter(kind="booth").update(is_open=False)
    other = factories.job(
        factories.evaluation(work=factories.work((factories.step("strip"),))), state="parts_in"
    )
    done = replan(MONDAY_8)
    assert done.left_out == ((job.number, "place", "booth"),)
    assert unplanned_jobs(9) == [job]
    assert local(steps(other)["strip"].planned_start) == "Mon 08:00"


def test_before_bays_are_entered_one_of_each_is_assumed() -> None:
    Bay.objects.all().delete()
    job = factories.job(state="parts_in")
    replan(MONDAY_8)
    assert unplanned_jobs(9) == []
    assert steps(job)["book-in"].bay is None


@pytest.mark.long
def test_jobs_under_review_and_closed_ones_are_not_planned() -> None:
    for state in ("sent", "in_review", "waiting", "ready", "handed_over", "declined", "cancelled"):
        factories.job(state=state)
    assert load(MONDAY_8).problem.steps == []


@pytest.mark.long
def test_an_estimate_goes_behind_the_plan_and_stores_nothing() -> None:
    planned = factories.job(state="parts_in")
    replan(MONDAY_8)
    job = factories.job(factories.evaluation(parts=()), state="in_review")
    found = estimate(job, MONDAY_8)
    # Two days for the deposit, then Wednesday 08:00; lacquer dries overnight, the final check ends at 09:00.
    assert (local(found.start), local(found.ready)) == ("Wed 08:00", "Thu 09:00")
    assert steps(job)["book-in"].planned_start is None
    assert local(steps(planned)["book-in"].planned_start) == "Mon 08:00"
    assert estimate(factories.job(factories.evaluation(work=None)), MONDAY_8) is None


def test_an_empty_workshop_has_an_empty_plan() -> None:
    assert replan(MONDAY_8).steps == 0


@pytest.mark.long
def test_the_number_of_queries_does_not_grow_with_the_jobs(django_assert_max_num_queries) -> None:
    for _ in range(8):
        factories.job(state="parts_in")
    with django_assert_max_num_queries(26):
        replan(MONDAY_8)
