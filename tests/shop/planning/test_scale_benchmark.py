"""A thousand open jobs: how long a worker takes to plan them, beside a tenth of them."""

from __future__ import annotations

import time
from collections.abc import Iterable
from datetime import datetime

import pytest
from django.utils import timezone

from shop.models import Job, JobOperation
from shop.planning.dates import free_dates
from shop.planning.demo import make_demo_bays
from shop.planning.service import replan
from tests.shop import factories

MONDAY_8 = datetime(2026, 3, 2, 8, tzinfo=timezone.get_default_timezone())


def _many(count: int) -> Iterable[Job]:
    """Copy one opened job's rows so many times: opening a thousand one by one is another benchmark."""
    first = factories.job(state="parts_in")
    steps = list(first.operations.all())
    for number in range(count - 1):
        job = Job.objects.get(pk=first.pk)
        revision = factories.revision()
        job.pk, job.number, job.token = None, f"KL-2026-9{number:04}", f"scale-{number}"
        job.spec, job.revision = revision.spec, revision
        job.save()
        for step in steps:
            step.pk, step.job = None, job
            step.hands_on_h = 0.5 + (number * 7 + step.position * 3) % 9 / 4
        JobOperation.objects.bulk_create(steps)
        yield job


@pytest.mark.benchmark
@pytest.mark.django_db
@pytest.mark.parametrize("count", [100, 300, 1000])
def test_planning_many_jobs(count: int) -> None:
    make_demo_bays()
    *_, last = _many(count)
    took = []
    for name in ("first plan", "planned again"):
        began, cpu = time.perf_counter(), time.process_time()
        done = replan(MONDAY_8)
        took.append(time.perf_counter() - began)
        own = time.process_time() - cpu
        print(f"{count} jobs, {done.steps} steps, {name}: {took[-1]:.1f} s ({own:.1f} s of work)")
    began = time.perf_counter()
    offered = free_dates(last, MONDAY_8)
    print(f"{count} jobs: eight free dates for one more in {time.perf_counter() - began:.2f} s")
    assert done.jobs == count
    assert len(offered) == 8
    assert not JobOperation.objects.filter(planned_start=None).exists()
