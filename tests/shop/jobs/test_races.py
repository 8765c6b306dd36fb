"""Fifty people press at once: one effect, a whole history. The twin shows the race with the lock off."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable

import pytest
from django.db import connection

from configurator.models import OutboxEntry
from configurator.outbox import service as outbox
from shop.jobs import agreement, bench, moving, service
from shop.jobs.errors import JobError
from shop.jobs.opening import open_job
from shop.models import Job, NumberSeries
from tests.shop import factories, racing

pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]
MANY = 50


@pytest.fixture(autouse=True)
def _on_postgresql(monkeypatch):
    if connection.vendor != "postgresql":
        pytest.skip("needs PostgreSQL: set DATABASE_URL")
    # Keeping promises is not what races here, and would send mail fifty times over the network.
    monkeypatch.setattr(outbox, "dispatch", lambda entry_id: None)


def at_once(deed: Callable[[int], object], times: int = MANY) -> Counter[object]:
    return racing.at_once(deed, times, refusals=(JobError,))


def job_in_review() -> tuple[Job, list]:
    reviewers = [factories.staff("reviewer", name=f"reviewer-{number}") for number in range(2)]
    job = factories.job()
    service.take_into_review(job_id=job.pk, by=reviewers[0])
    job.refresh_from_db()
    return job, reviewers


def test_fifty_confirms_leave_one_effect_and_a_whole_history() -> None:
    job, reviewers = job_in_review()

    outcomes = at_once(
        lambda n: agreement.agree_as_workshop(
            job_id=job.pk, revision_id=job.revision_id, by=reviewers[n % 2], version=job.version
        )
    )

    assert outcomes == {True: 1, False: MANY - 1}
    job.refresh_from_db()
    assert job.state == "deposit_due"
    assert list(job.history.values_list("action", flat=True)) == [
        "job.opened",
        "job.taken_into_review",
        "job.workshop_agreed",
        "job.agreed",
        "job.deposit_asked",
    ]
    asked = OutboxEntry.objects.filter(kind="job_mail", payload__template="deposit_request")
    assert asked.count() == 1


def take_at_once(times: int) -> Job:
    """Have so many reviewers take one new job into review at the same moment."""
    reviewers = [factories.staff("reviewer", name=f"reviewer-{number}") for number in range(times)]
    job = factories.job()
    at_once(lambda n: service.take_into_review(job_id=job.pk, by=reviewers[n]), times)
    return job


def test_fifty_reviewers_who_take_one_job_are_one_reviewer() -> None:
    job = take_at_once(MANY)
    job.refresh_from_db()
    taken = job.history.get(action="job.taken_into_review")
    assert taken.user == job.reviewer
    assert job.version == 2


def test_without_the_lock_each_of_them_takes_it(monkeypatch) -> None:
    """The twin: if this ever fails, the test above proves nothing."""
    times = 10
    all_have_read = threading.Barrier(times)

    def unlocked(job_id: int) -> Job:
        found = Job.objects.get(pk=job_id)
        all_have_read.wait(timeout=30)
        return found

    monkeypatch.setattr(moving, "locked", unlocked)
    job = take_at_once(times)
    assert job.history.filter(action="job.taken_into_review").count() == times


def test_confirm_and_decline_at_once_leave_one_of_them() -> None:
    job, reviewers = job_in_review()

    def deed(number: int) -> bool:
        if number % 2:
            return service.decline(job_id=job.pk, by=reviewers[1], why="No room.", version=job.version)
        return agreement.agree_as_workshop(
            job_id=job.pk, revision_id=job.revision_id, by=reviewers[0], version=job.version
        )

    outcomes = at_once(deed)
    job.refresh_from_db()
    assert outcomes[True] == 1
    assert job.state in ("deposit_due", "declined")
    ends = job.history.filter(action__in=["job.declined", "job.workshop_agreed"])
    assert ends.count() == 1


def test_fifty_openings_of_one_spec_make_one_job() -> None:
    revision = factories.revision()
    outcomes = at_once(lambda n: open_job(revision=revision).number)
    assert len(outcomes) == 1
    assert Job.objects.count() == 1
    assert Job.objects.get().history.count() == 1


def test_fifty_specs_at_once_get_fifty_numbers_without_a_gap() -> None:
    revisions = [factories.revision() for _ in range(MANY)]
    outcomes = at_once(lambda n: open_job(revision=revisions[n]).number)
    assert sorted(int(number.rpartition("-")[2]) for number in outcomes) == list(range(1, MANY + 1))
    assert NumberSeries.objects.get(series="K").last == MANY


def test_fifty_ticks_of_one_step_are_one_tick() -> None:
    job = factories.job(state="in_the_bay")
    technician = factories.staff("technician")
    step = job.operations.get(key="book-in")
    outcomes = at_once(lambda n: bench.tick(job_id=job.pk, step_id=step.pk, by=technician))
    assert outcomes == {True: 1, False: MANY - 1}
    assert job.history.filter(action="step.done").count() == 1
