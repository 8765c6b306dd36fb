"""The page reads in a fixed number of queries, however much there is to show."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from configurator.models import CatalogueVersion
from shop.messages.conversation import write_as_customer, write_as_workshop
from shop.models import Job
from tests.shop import factories
from tests.shop.tracking.conftest import own_photo, work_photo

pytestmark = pytest.mark.django_db


def filled(rows: int, user: Any) -> Job:
    """Return a job with so many photos of both kinds and messages both ways."""
    job = factories.job()
    for number in range(rows):
        own_photo(job)
        work_photo(job, number)
        write_as_customer(job_id=job.pk, text="?", press=f"{job.pk}-{number}")
        write_as_workshop(job_id=job.pk, text="!", press=f"{job.pk}-{number}", user=user)
    return job


def queries(client: Client, job: Job) -> int:
    """Return how many queries one view of the page takes."""
    with CaptureQueriesContext(connection) as seen:
        answer = client.get(f"/job/{job.token}/")
    assert answer.status_code == 200
    return len(seen)


@pytest.mark.long
def test_one_and_three_rows_take_the_same_queries(client: Client, reviewer: Any, workshop: Any) -> None:
    CatalogueVersion.objects.create(number=1, digest="0" * 64)
    one, three = filled(1, reviewer), filled(3, reviewer)
    for job in (one, three):  # the first view notes that messages were seen
        queries(client, job)
    counts = (queries(client, one), queries(client, three))
    assert counts[0] == counts[1]
    assert counts[0] <= 20  # one asks whether there is a finished build to link to
