"""The desk's pages with 20 jobs and with 20,000, side by side: time, queries and bytes as ratios."""

from __future__ import annotations

import time
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from configurator.models import Spec, SpecRevision
from shop.jobs.finding import sort_name, squash
from shop.jobs.states import State
from shop.models import HistoryEntry, Job, JobWords, Message
from tests.shop import factories

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]
FEW, MANY = 20, 20_000
PAGES = {
    "inbox": ("inbox", {}),
    "inbox, last page": ("inbox", {"page": "1000000"}),
    "inbox, waiting": ("inbox", {"show": "waiting"}),
    "jobs": ("jobs", {}),
    "jobs by name": ("jobs", {"sort": "name"}),
    "jobs longest in state": ("jobs", {"sort": "waiting"}),
    "jobs booked": ("jobs", {"sort": "booked", "only": "open"}),
    "found by plate": ("jobs", {"q": "xb ab 7"}),
    "found by name": ("jobs", {"q": "sommer ida"}),
}


def text_of(job: Job) -> str:
    """Return what a job is found by, about as long as a real one's."""
    revision = job.revision
    own = (job.number, revision.name, revision.email, revision.registration)
    return " ".join([*(squash(fact) for fact in own), *(f"gloss{n}blackpart" for n in range(40))])


def links(n: int) -> dict[str, str]:
    """Return digests of a build's links, which storing many at once does not make."""
    return {"digest": f"b{n}", "share_digest": f"s{n}"}


def fill(count: int) -> None:
    """Make jobs in every state but those that end, one in fifty with an unread message."""
    begin = Job.objects.count()
    kept = factories.evaluation().model_dump(mode="json")
    states = [state for state in State if state not in (State.DECLINED, State.CANCELLED)]
    now = timezone.now()
    for first in range(begin, begin + count, 1000):
        span = range(first, min(first + 1000, begin + count))
        specs = Spec.objects.bulk_create(
            Spec(selection=kept["selection"], catalogue_version=1, name="Red van", **links(n)) for n in span
        )
        revisions = SpecRevision.objects.bulk_create(
            SpecRevision(
                spec=spec, number=1, selection=kept["selection"], evaluation=kept, catalogue_version=1,
                name=f"Ida Sommer {n}", email=f"ida{n}@customer.example", registration=f"XB AB {n}",
            )
            for n, spec in zip(span, specs, strict=True)
        )  # fmt: skip
        jobs = Job.objects.bulk_create(
            Job(
                number=f"K-2026-{n:05d}", spec=revision.spec, revision=revision,
                state=states[n % len(states)], state_since=now - timedelta(minutes=n), opened_at=now,
                sort_name=sort_name(revision.name), last_who="mira", last_action="job.opened",
                digest=f"j{n}",
            )
            for n, revision in zip(span, revisions, strict=True)
        )  # fmt: skip
        JobWords.objects.bulk_create(JobWords(job=job, text=text_of(job)) for job in jobs)
        HistoryEntry.objects.bulk_create(
            HistoryEntry(job=job, who="mira", action="job.opened") for job in jobs
        )
        Message.objects.bulk_create(
            Message(job=job, from_customer=True, text="Hello?", press=job.number) for job in jobs[::50]
        )
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def measured(client: Client) -> dict[str, tuple[float, int, int]]:
    """Return for each page the shortest of several runs in ms, its queries and its bytes."""
    # SQLite works in this process: its own time is told apart from that of a busy machine.
    clock = time.process_time if connection.vendor == "sqlite" else time.perf_counter
    found = {}
    for label, (name, asked) in PAGES.items():
        address = reverse(f"shop:{name}")
        client.get(address, asked)
        with CaptureQueriesContext(connection) as queries:
            size = len(client.get(address, asked).content)
        count = len(queries)  # now: the next request clears what was captured
        times = []
        for _run in range(9):
            begin = clock()
            client.get(address, asked)
            times.append(clock() - begin)
        found[label] = (min(times) * 1000, count, size)
    return found


def test_a_thousand_times_as_many_jobs(capsys: Any) -> None:
    clients = {}
    for role in ("manager", "reviewer"):
        clients[role] = Client()
        clients[role].force_login(factories.staff(role))
    fill(FEW)
    few = {role: measured(client) for role, client in clients.items()}
    fill(MANY - FEW)
    many = {role: measured(client) for role, client in clients.items()}
    with capsys.disabled():
        print(f"\n{connection.vendor}: {FEW} jobs against {MANY}")
        for role, rows in many.items():
            for label, (ms, queries, size) in rows.items():
                before_ms, before, was = few[role][label]
                times = f"{before_ms:6.1f} -> {ms:6.1f} ms, ratio {ms / before_ms:5.2f}"
                asked = f"queries {before} -> {queries}"
                print(f"{role:9} {label:22} {times}; {asked}; bytes ratio {size / was:4.2f}")
    for role, rows in many.items():
        assert {label: row[1] for label, row in rows.items()} == {
            label: row[1] for label, row in few[role].items()
        }
