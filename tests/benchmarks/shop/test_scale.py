"""Staff pages with 20 jobs and with 20,000, side by side: time, queries and bytes as ratios.

Two processes take turns, page by page and run by run, each with a database of its own: one was forked off
when there were 20 jobs (on PostgreSQL, given as ``DATABASE_URL``, its database was copied then). So a machine
that is busy meanwhile is busy for both. Nothing asserts a time; queries must be the same. The time is the
processor's, database and all; the clock's where PostgreSQL runs elsewhere.

``KERBLINE_SCALE_JOBS`` sets how many, ``KERBLINE_SCALE_PAGES`` a word of the pages, ``KERBLINE_SCALE_SLOW``
prints the slow queries.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shop.models import Job
from tests.benchmarks.shop.filling import UNDER_WAY, fill
from tests.shop import factories

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db(transaction=True)]
FEW, MANY = UNDER_WAY, int(os.environ.get("KERBLINE_SCALE_JOBS", "20000"))
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
    "found by number": "jobs/?q={job}",
    "found by plate": "jobs/?q=xb+ab+{n}",
    "found by telephone": "jobs/?q=0171+550{n}",
    "found by name": "jobs/?q=sommer{n}+ida",
    "found by a usual name": "jobs/?q=ida",
    "found by part": "jobs/?q=gloss7blackpart",
    "not found": "jobs/?q=nobody+here",
    "customers": "customers/",
    "customers, by name": "customers/?q=sommer{n}",
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
    number = Job.objects.filter(state="sent").latest("pk").number
    return f"/workshop/{PAGES[label]}".format(job=number, n=number[-5:])


def look(client: Client, label: str) -> Looked:
    """Return a page's queries and bytes, and its slow queries with their times in s."""
    there = address(label)
    client.get(there)
    looks = []
    # Twice: once a minute a session notes that somebody is there, with three queries more on whatever page.
    for _look in range(2):
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(there)
        assert answer.status_code == 200, label
        looks.append(queries.captured_queries)
    fewest = min(looks, key=len)
    slow = {each["sql"]: float(each["time"]) for each in fewest}
    return len(fewest), len(answer.content), {sql: s for sql, s in slow.items() if s > 0.002}


def run(client: Client, label: str) -> float:
    """Return how long a page takes once, in ms."""
    there = address(label)
    if connection.vendor == "postgresql":
        # Helpers of the server's would be other processes, whose time nobody adds.
        with connection.cursor() as cursor:
            cursor.execute("SET max_parallel_workers_per_gather TO 0")
    begin = spent()
    client.get(there)
    return (spent() - begin) * 1000


def spent() -> float:
    """Return the processor's time until now in s, the database's too; where nobody tells it, the clock's."""
    if connection.vendor == "sqlite":
        return time.process_time()
    server = Path("/proc", str(connection.connection.info.backend_pid))
    if not (server / "comm").exists() or (server / "comm").read_text() != "postgres\n":
        return time.perf_counter()
    return time.process_time() + int((server / "schedstat").read_text().split()[0]) / 1e9


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


@contextmanager
def twin(client: Client) -> Iterator[Any]:
    """Fork a process that keeps the database as it is now, and give the pipe to it."""
    here, there = get_context("fork").Pipe()
    session, database = client.cookies["sessionid"].value, ""
    if connection.vendor == "postgresql":
        name = connection.settings_dict["NAME"]
        database = f"{name}_few"
        connection.close()
        on_the_server(
            f'DROP DATABASE IF EXISTS "{database}"', f'CREATE DATABASE "{database}" TEMPLATE "{name}"'
        )
    process = get_context("fork").Process(target=answering, args=(there, session, database), daemon=True)
    process.start()
    try:
        yield here
    finally:
        here.send(None)
        process.join()
        if database:
            on_the_server(f'DROP DATABASE "{database}"')


def on_the_server(*statements: str) -> None:
    """Say something to the server from beside its databases."""
    with connection._nodb_cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def compared(client: Client, few: Any, label: str) -> bool:
    """Print a page's row of the table; return whether both take the same queries."""
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
    return queries == were


@pytest.mark.parametrize("mix", ["usual", "busy"])
def test_a_thousand_times_as_many_jobs(mix: str, capsys: Any) -> None:
    factories.make_workshop()
    client = Client()
    client.force_login(factories.staff("manager", "reviewer"))
    fill(FEW, mix)
    with twin(client) as few, capsys.disabled():
        fill(MANY, mix)
        print(f"\n{connection.vendor}, {mix}: {FEW} jobs against {MANY}")
        print(f"{'page':24}{'ms':>16}{'ratio':>8}{'queries':>12}{'bytes':>8}")
        different = [label for label in PAGES if ONLY in label and not compared(client, few, label)]
    assert different == []
