"""The newest migrations on 100,000 jobs: how long each takes, and how long a page waits for it meanwhile.

``DATABASE_URL=… python -m pytest -m benchmark -n 0 -s tests/benchmarks/site/test_migrations.py``. A database
of its own is made beside the one that is named, filled with rows that no page reads, and dropped again.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from urllib.parse import urlsplit

import psycopg
import pytest
from django.conf import settings

pytestmark = [
    pytest.mark.benchmark,
    pytest.mark.skipif("postgres" not in os.environ.get("DATABASE_URL", ""), reason="needs PostgreSQL"),
]
JOBS = int(os.environ.get("KERBLINE_JOBS", "100000"))
NEWEST = int(os.environ.get("KERBLINE_NEWEST", "6"))
NAME = "kerbline_migrations_timed"
TABLES = ("configurator_spec", "configurator_specrevision", "shop_job", "shop_jobpart", "shop_joboperation",
          "shop_historyentry", "shop_outgoingmail")  # fmt: skip
VALUES = {"jsonb": "'{}'", "boolean": "false", "timestamp with time zone": "now()", "date": "now()",
          "character varying": "''", "text": "''"}  # fmt: skip
OF_ITS_OWN = ("digest", "nonce", "number", "key", "token")


@pytest.fixture
def url() -> Iterator[str]:
    """A database of its own on the same server."""
    server = urlsplit(os.environ["DATABASE_URL"])
    with psycopg.connect(os.environ["DATABASE_URL"], autocommit=True) as beside:
        beside.execute(f"DROP DATABASE IF EXISTS {NAME}")
        beside.execute(f"CREATE DATABASE {NAME}")
        yield server._replace(path=f"/{NAME}").geturl()
        beside.execute(f"DROP DATABASE {NAME} WITH (FORCE)")


def migrate(url: str, *words: str) -> str:
    out = subprocess.run(
        [sys.executable, "manage.py", *words], cwd=settings.BASE_DIR, env=os.environ | {"DATABASE_URL": url},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert out.returncode == 0, out.stderr[-2000:]
    return out.stdout


def fill(on: psycopg.Connection[tuple[object, ...]], table: str) -> None:
    """Write as many rows as there are jobs, whatever columns the table has at that time."""
    query = (
        "SELECT column_name, data_type FROM information_schema.columns WHERE table_name = %s "
        "AND is_nullable = 'NO' AND is_identity = 'NO'"
    )
    names, values = ["id"], ["g"]
    for name, kind in on.execute(query, [table]).fetchall():
        names.append(f'"{name}"')
        is_own = any(str(name).endswith(own) for own in OF_ITS_OWN)
        if kind == "character varying" and is_own:
            values.append("left(md5(g::text), 18)" if name == "number" else "md5(g::text)")
        else:
            values.append("g" if str(name).endswith("_id") else VALUES.get(str(kind), "1"))
    on.execute(
        f"INSERT INTO {table} ({', '.join(names)}) OVERRIDING SYSTEM VALUE "
        f"SELECT {', '.join(values)} FROM generate_series(1, {JOBS}) g"
    )


@contextmanager
def pages(url: str, waits: list[float]) -> Iterator[None]:
    """Read and write single jobs all the while, as pages do, and note how long each had to wait."""
    over = threading.Event()

    def ask() -> None:
        with psycopg.connect(url, autocommit=True) as on:
            while not over.is_set():
                begun = time.monotonic()
                with suppress(psycopg.Error):
                    on.execute("UPDATE shop_job SET version = version + 1 WHERE id = 7")
                    on.execute("SELECT id FROM configurator_specrevision WHERE id = 7")
                waits.append(time.monotonic() - begun)
                time.sleep(0.02)

    asking = threading.Thread(target=ask)
    asking.start()
    yield
    over.set()
    asking.join()


def test_the_newest_migrations_on_a_large_shop(url: str) -> None:
    for app in ("configurator", "shop"):
        known = sorted(p.stem for p in (settings.BASE_DIR / app / "migrations").glob("0*.py"))
        migrate(url, "migrate", "-v0", app, known[-1 - NEWEST])
    with psycopg.connect(url, autocommit=True) as on:
        for table in TABLES:
            fill(on, table)
        on.execute("ANALYZE")
    plan = migrate(url, "showmigrations", "--plan").splitlines()
    ahead = [line.split()[-1] for line in plan if line.startswith("[ ]")]
    ours = [one for one in ahead if one.partition(".")[0] in ("configurator", "shop")]
    assert ours
    for one in ours:
        app, _, name = one.partition(".")
        waits: list[float] = []
        with pages(url, waits):
            time.sleep(0.2)
            begun = time.monotonic()
            migrate(url, "migrate", "-v0", app, name)
            took = time.monotonic() - begun
        print(f"{one}: {took:.1f} s with starting, a page waited {max(waits):.2f} s at most")
    with psycopg.connect(url) as on:
        assert on.execute("SELECT count(*) FROM shop_job").fetchone() == (JOBS,)
