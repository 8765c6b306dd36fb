"""Staff pages with 20 jobs and with 20,000, side by side: time, queries and bytes as ratios.

Two processes take turns, page by page and run by run, each with a database of its own: one was forked off
when there were 20 jobs. So a machine that is busy meanwhile is busy for both. Nothing asserts a time; queries
must be the same. On SQLite the time is the processor's, database and all; on PostgreSQL the clock's.

``KERBLINE_SCALE_JOBS`` sets how many, ``KERBLINE_SCALE_PAGES`` a word of the pages, ``KERBLINE_SCALE_SLOW``
prints the slow queries.
"""

from __future__ import annotations

import os
import time
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shop.models import Job
from tests.benchmarks.shop.filling import fill
from tests.shop import factories

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db(transaction=True)]
FEW, MANY = 20, int(os.environ.get("KERBLINE_SCALE_JOBS", "20000"))
RUNS = int(os.environ.get("KERBLINE_SCALE_RUNS", "15"))
ONLY = os.environ.get("KERBLINE_SCALE_PAGES", "")
PAGES = {
    "inbox": "",
    "inbox, waiting": "?show=waiting",
    "inbox, a far page": "?page=9",
    "jobs": "jobs/",
    "jobs, by name": "jobs/?sort=name",
    "jobs, longest in state": "jobs/?sort=waiting",
    "jobs, booked": "jobs/?sort=booked&only=open",
    "found by number": "jobs/?q=K-2026-00007",
    "found by plate": "jobs/?q=xb+ab+00007",
    "found by telephone": "jobs/?q=0171+55000007",
    "found by name": "jobs/?q=sommer00007+ida",
    "found by a usual name": "jobs/?q=ida",
    "found by part": "jobs/?q=gloss7blackpart",
    "not found": "jobs/?q=nobody+here",
    "customers": "customers/",
    "customers, by name": "customers/?q=sommer00007",
    "customers, the same": "customers/same/",
    "plan": "plan/",
    "people": "plan/people/",
    "promises": "plan/promises/",
    "parts to order": "parts/",
    "parts, one supplier": "parts/?supplier=supplier-1",
    "stock": "parts/stock/",
    "orders": "orders/",
    "credits": "orders/credits/",
    "money": "money/",
    "money, overdue": "money/?state=overdue",
    "unmatched": "money/unmatched/",
    "statements": "money/statements/",
    "invoices": "money/invoices/",
    "the day's money": "money/day/",
    "numbers": "numbers/",
    "a job": "jobs/{job}/",
    "a job's messages": "jobs/{job}/messages/",
    "stuck": "stuck/",
}
Looked = tuple[int, int, dict[str, float]]


def address(label: str) -> str:
    """Return a page's address; the job is a new one in the same state, however many there are."""
    if "{job}" not in PAGES[label]:
        return f"/workshop/{PAGES[label]}"
    return f"/workshop/{PAGES[label]}".format(job=Job.objects.filter(state="sent").latest("pk").number)


def look(client: Client, label: str) -> Looked:
    """Return a page's queries and bytes, and its slow queries with their times in s."""
    there = address(label)
    client.get(there)
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(there)
    assert answer.status_code == 200, label
    slow = {each["sql"]: float(each["time"]) for each in queries.captured_queries}
    return len(queries), len(answer.content), {sql: s for sql, s in slow.items() if s > 0.002}


def run(client: Client, label: str) -> float:
    """Return how long a page takes once, in ms."""
    clock = time.process_time if connection.vendor == "sqlite" else time.perf_counter
    there = address(label)
    begin = clock()
    client.get(there)
    return (clock() - begin) * 1000


def answering(pipe: Connection, session: str, database: str) -> None:
    """Look at and time pages on the database as it is now, as asked, until nothing more comes."""
    if database:
        connection.settings_dict["NAME"] = database
    client = Client()
    client.cookies["sessionid"] = session
    while asked := pipe.recv():
        what, label = asked
        pipe.send(look(client, label) if what == "look" else run(client, label))
    connection.close()
    os._exit(0)


def twin(client: Client) -> Any:
    """Fork a process that keeps the database as it is now, and return the pipe to it."""
    here, there = get_context("fork").Pipe()
    session, database = client.cookies["sessionid"].value, ""
    if connection.vendor == "postgresql":
        name = connection.settings_dict["NAME"]
        database = f"{name}_few"
        connection.close()
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'DROP DATABASE IF EXISTS "{database}"')
            cursor.execute(f'CREATE DATABASE "{database}" TEMPLATE "{name}"')
    process = get_context("fork").Process(target=answering, args=(there, session, database), daemon=True)
    process.start()
    return here


@pytest.mark.parametrize("mix", ["usual", "busy"])
def test_a_thousand_times_as_many_jobs(mix: str, capsys: Any) -> None:
    factories.make_workshop()
    client = Client()
    client.force_login(factories.staff("manager", "reviewer"))
    fill(FEW, mix)
    few = twin(client)
    fill(MANY, mix)
    different = []
    with capsys.disabled():
        print(f"\n{connection.vendor}, {mix}: {FEW} jobs against {MANY}")
        print(f"{'page':24}{'ms':>16}{'ratio':>8}{'queries':>12}{'bytes':>8}")
        for label in PAGES:
            if ONLY not in label:
                continue
            few.send(("look", label))
            were, was, _slow = few.recv()
            queries, size, slow = look(client, label)
            before, after = [], []
            for _run in range(RUNS):
                few.send(("run", label))
                before.append(few.recv())
                after.append(run(client, label))
            ratio = min(after) / min(before)
            told = f"{min(before):7.1f} {min(after):8.1f}{ratio:8.2f}{were:6}{queries:6}{size / was:8.2f}"
            print(f"{label:24}{told}")
            if "KERBLINE_SCALE_SLOW" in os.environ:
                for sql, seconds in slow.items():
                    print("   ", seconds, sql[:1500])
            if queries != were:
                different.append(label)
    few.send(None)
    assert different == []
