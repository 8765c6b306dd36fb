"""What all rooms have to say of jobs, asked at once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from shop.jobs.models import Job, Measurement
from shop.jobs.models_lines import Proposal
from shop.jobs.signals import notices_of
from shop.models import BrokenPromise, DateWish, OutgoingMail
from tests.shop import factories

pytestmark = pytest.mark.django_db
NOW = timezone.now()


def propose(job: Job, number: int, state: str, **more: Any) -> None:
    Proposal.objects.create(
        job=job, number=number, state=state, why=f"Way {number}.", press=f"{job}{number}", **more
    )


def fail(job: Job, subject: str) -> None:
    OutgoingMail.objects.create(
        key=subject, job=job, kind="booked", language="en", subject=subject, to="a@b.example", text="Hello",
        state=OutgoingMail.State.FAILED,
    )  # fmt: skip


def measure_no(job: Job, check: str, by: Any) -> None:
    Measurement.objects.create(
        job=job, revision=job.revision, axle="front", check_id=check, value=1, uncertainty=1, margin=-1,
        verdict="no", by=by,
    )  # fmt: skip


def test_each_job_is_told_what_every_room_says_of_it_in_their_order(django_assert_num_queries: Any) -> None:
    job, other, quiet = (factories.job(state="booked") for _each in range(3))
    by = factories.staff("technician")
    fail(job, "Booked")
    fail(job, "Moved")
    BrokenPromise.objects.create(job=job, because="person")
    DateWish.objects.create(job=job, days=["2026-03-09"])
    for check in ("wheel_to_strut", "brake_clearance"):
        measure_no(job, check, by)
    propose(job, 1, "refused", answered_at=NOW - timedelta(days=1))
    propose(job, 3, "open")
    propose(job, 2, "open")
    fail(other, "Ready")
    propose(quiet, 1, "refused", answered_at=NOW - timedelta(days=3))
    with django_assert_num_queries(1):
        found = notices_of([quiet, other, job])
    assert quiet.pk not in found
    assert [each.text for each in found[other.pk]] == ["A mail was not sent: Ready"]
    there = f"/workshop/jobs/{job.number}"
    misfits = [(each.text, each.address) for each in found[job.pk][3:5]]
    assert all(text.startswith("Does not fit as measured: ") for text, _address in misfits)
    assert len({text for text, _address in misfits}) == 2
    assert {address for _text, address in misfits} == {f"{there}/bench/#measure"}
    others = [(each.text, each.address, each.tone) for each in found[job.pk][:3] + found[job.pk][5:]]
    assert others == [
        ("A change waits for the customer: Way 2", f"{there}/changes/", "info"),
        ("A change waits for the customer: Way 3", f"{there}/changes/", "info"),
        ("The customer said no to a change: Way 1", f"{there}/changes/", "warn"),
        ("The customer would rather come on another day", f"{there}/dates/", "warn"),
        (
            "The plan no longer keeps the fixed dates: nobody who can do it is there",
            f"{there}/dates/",
            "warn",
        ),
        ("A mail was not sent: Booked", f"{there}/messages/", "warn"),
    ]


def test_nobody_is_asked_about_no_jobs(django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        assert notices_of([]) == {}
