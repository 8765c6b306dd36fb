"""How much faster the grid is than a loop and than SQL, and how near to a bare mask. Run:

pytest -m benchmark -n0 -s tests/benchmarks/fitment

PostgreSQL takes part when KERBLINE_BENCH_POSTGRES holds a connection string.
"""

import os
import random
import resource
import sqlite3
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import psycopg
import pytest

from configurator.fitment import Axle, Catalogue, GridResult, check_fit, filter_catalogue
from configurator.fitment.checks import CHECK_IDS

from . import scenario, sql

pytestmark = pytest.mark.benchmark
SAMPLE = 2000
COMPARISONS = 15
Clock = Callable[[], float]


def _seconds(work: Callable[[], Any], times: int, clock: Clock = time.perf_counter) -> tuple[float, Any]:
    """Return the median of several runs, and the last result."""
    spans, result = [], None
    for _ in range(times):
        start = clock()
        result = work()
        spans.append(clock() - start)
    return sorted(spans)[len(spans) // 2], result


def _mask(columns: list[Any]) -> Any:
    found = columns[0] < 0.9
    for column in columns[1:]:
        found &= column < 0.9
    return found


def _cpu_seconds(work: Callable[[], Any]) -> float:
    """Return the processor's time, which a busy machine does not lengthen as it does the clock's."""
    return _seconds(work, 1, time.process_time)[0]


def _keys(grid: GridResult) -> dict[int, int]:
    counts = np.bincount(grid.keys.ravel(), minlength=128)
    return {int(key): int(counts[key]) for key in np.flatnonzero(counts)}


def _sqlite_seconds(axle: Axle, catalogue: Catalogue) -> tuple[float, dict[int, int]]:
    with sqlite3.connect(":memory:") as connection:
        for name, columns, rows in sql.tables(axle, catalogue):
            create, insert = sql.create_and_fill(name, columns)
            connection.execute(create)
            connection.executemany(insert, rows)
        connection.execute("CREATE INDEX g_pair ON g (w, s)")
        connection.execute("ANALYZE")
        query = sql.query(axle, sqlite=True)
        seconds, found = _seconds(lambda: connection.execute(query).fetchall(), 1, time.process_time)
    return seconds, {int(key): count for key, count in found}


def _postgres_seconds(axle: Axle, catalogue: Catalogue, dsn: str) -> tuple[float, dict[int, int]]:
    with psycopg.connect(dsn) as connection, connection.cursor() as cursor:
        for name, columns, rows in sql.tables(axle, catalogue):
            create, insert = sql.create_and_fill(name, columns)
            cursor.execute(create)
            cursor.executemany(insert.replace("?", "%s"), rows)
            cursor.execute(f"ANALYZE {name}")
        seconds, found = _seconds(lambda: cursor.execute(sql.query(axle, sqlite=False)).fetchall(), 1)
        connection.rollback()
    return seconds, {int(key): count for key, count in found}


def _loop_seconds(axles: tuple[Axle, ...], parts: Any, grids: list[GridResult]) -> float:
    """Time a sample of single evaluations, each compared with the grid, and extrapolate to all."""
    rnd, total = random.Random(7), len(axles) * grids[0].keys.size
    places = [tuple(rnd.randrange(n) for n in grids[0].keys.shape) for _ in range(SAMPLE)]
    wheels, tyres, spacers = parts
    start = time.process_time()
    reports = [
        check_fit(axles[i % len(axles)], wheels[w], tyres[t], spacers[s])
        for i, (w, t, s) in enumerate(places)
    ]
    seconds = (time.process_time() - start) / SAMPLE * total
    for i, (place, report) in enumerate(zip(places, reports, strict=True)):
        grid = grids[i % len(axles)]
        assert report.verdict == grid.verdict(*place)
        assert (report.deciding.id if report.deciding else None) == grid.deciding(*place)
    return seconds


def test_grid_against_loop_sql_and_mask() -> None:
    parts, axles = scenario.catalogue(), scenario.axles()
    build, catalogue = _seconds(lambda: Catalogue.of(*parts), 3)
    rows = len(axles) * int(np.prod(catalogue.shape))
    grids = [filter_catalogue(axle, catalogue) for axle in axles]
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    columns = [np.random.default_rng(i).random(rows) for i in range(COMPARISONS)]
    # Turn and turn about, so that whatever else the machine does falls on both.
    pairs = [
        (
            _cpu_seconds(lambda: [filter_catalogue(axle, catalogue) for axle in axles]),
            _cpu_seconds(lambda: _mask(columns)),
        )
        for _ in range(15)
    ]
    seconds, mask = (sorted(spans)[len(spans) // 2] for spans in zip(*pairs, strict=True))
    loop = _loop_seconds(axles, parts, grids)
    _say(f"{rows:,} fits, {len(CHECK_IDS)} checks: grid {seconds * 1000:.0f} ms, peak {peak_mib:.0f} MiB,")
    _say(f"and {build * 1000:.0f} ms once to turn the catalogue into arrays")
    _say(
        f"loop of single evaluations, from {SAMPLE}: {loop:.0f} s, {loop / (seconds + build):.0f} x the grid"
    )
    _say(
        f"bare mask of {COMPARISONS} comparisons: {mask * 1000:.0f} ms, the grid {seconds / mask:.1f} x that"
    )
    assert loop > 50 * (seconds + build)
    assert seconds < 4 * mask
    assert peak_mib < 1024
    lite = [_sqlite_seconds(axle, catalogue) for axle in axles]
    _compare("SQLite", lite, grids, seconds)
    if dsn := os.environ.get("KERBLINE_BENCH_POSTGRES"):
        _compare("PostgreSQL", [_postgres_seconds(axle, catalogue, dsn) for axle in axles], grids, seconds)


def _say(text: str) -> None:
    print(f"\n{text}", end="", flush=True)


def _compare(
    name: str, found: list[tuple[float, dict[int, int]]], grids: list[GridResult], seconds: float
) -> None:
    total = sum(span for span, _ in found)
    _say(f"{name}: {total:.2f} s, {total / seconds:.0f} x the grid; the same answers, key by key")
    assert [keys for _, keys in found] == [_keys(grid) for grid in grids]
    assert total > 10 * seconds
