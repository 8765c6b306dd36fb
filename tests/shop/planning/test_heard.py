"""What the plan hears of jobs: when it is made anew, and what it lets go."""

from __future__ import annotations

import pytest

from configurator.models import OutboxEntry
from shop.jobs.signals import notices_of
from shop.jobs.states import State
from shop.models import BrokenPromise, DateWish, Job
from shop.planning.hooks import (
    when_asked_who_asks,
    when_job_amended,
    when_job_moved,
    when_possible,
)
from tests.shop import factories

pytestmark = pytest.mark.django_db
IN_THE_PLAN = {"agreed", "deposit_due", "deposit_in", "parts_on_order", "parts_in", "booked", "in_the_bay"}
CHANGES_THE_PLAN = {"deposit_due", "deposit_in", "parts_in", "booked", "in_the_bay", "cancelled", "declined"}


def asked() -> bool:
    """Return whether a plan was asked for since last time."""
    return bool(OutboxEntry.objects.filter(kind="replan").delete()[0])


@pytest.mark.parametrize("state", State.values)
def test_an_amended_job_is_planned_anew_only_if_it_is_in_the_plan(state: str) -> None:
    job = factories.job()
    job.state = state
    asked()
    when_job_amended(Job, job=job)
    assert asked() == (state in IN_THE_PLAN)


@pytest.mark.parametrize("state", State.values)
def test_a_move_changes_the_plan_and_ends_what_was_promised(state: str) -> None:
    job = factories.job()
    promise = BrokenPromise.objects.create(job=job, because="closed", found_at=job.opened_at)
    asked()
    when_job_moved(Job, job=job, to=state)
    assert asked() == (state in CHANGES_THE_PLAN)
    promise.refresh_from_db()
    assert promise.settled == ("" if state in ("booked", "in_the_bay") else "ended")


def test_what_waits_for_a_person_is_told_job_by_job() -> None:
    wishes, broken, quiet = (factories.job(state="parts_in") for _ in range(3))
    DateWish.objects.create(job=wishes, days=["2026-03-09"])
    DateWish.objects.create(job=quiet, days=["2026-03-09"], answer="no")
    BrokenPromise.objects.create(job=broken, because="person", found_at=broken.opened_at)
    BrokenPromise.objects.create(job=quiet, because="person", found_at=quiet.opened_at, settled="holds")
    found = notices_of([wishes, broken, quiet])
    told = {pk: [(notice.text, notice.address) for notice in notices] for pk, notices in found.items()}
    why = BrokenPromise.Because.PERSON.label
    assert told == {
        wishes.pk: [
            ("The customer would rather come on another day", f"/workshop/jobs/{wishes.number}/dates/")
        ],
        broken.pk: [
            (f"The plan no longer keeps the fixed dates: {why}", f"/workshop/jobs/{broken.number}/dates/")
        ],
    }
    assert notices_of([quiet]) == {}
    who = {row["job_id"] for rows in when_asked_who_asks(Job) for row in rows}
    assert who == {wishes.pk, broken.pk}


def test_a_job_that_is_not_in_the_plan_yet_is_told_when_it_could_be_done() -> None:
    job = factories.job(state="in_review")
    found = when_possible(Job, job=job)
    assert found is not None
    assert found.ready > found.start
    assert when_possible(Job, job=factories.job(factories.evaluation(work=None))) is None
