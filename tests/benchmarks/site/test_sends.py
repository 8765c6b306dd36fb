"""Two hundred customers send at once, beside a view that writes one row under the same load.

A worker is at work beside the web process, as it is in earnest: it opens the jobs that were promised while
the others still send.

``DATABASE_URL=… REDIS_URL=… python -m pytest -m benchmark -n 0 -s tests/benchmarks/site``. The ratio is
printed; the machine's own speed is no part of it.
"""

from __future__ import annotations

import os
import time
from pathlib import Path
from statistics import median, quantiles
from typing import Any

import pytest
from django.db.models import Q

from shop.models import Job
from tests.site import serving

pytestmark = [
    pytest.mark.benchmark,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif("postgres" not in os.environ.get("DATABASE_URL", ""), reason="needs PostgreSQL"),
    pytest.mark.skipif(not os.environ.get("REDIS_URL"), reason="needs REDIS_URL"),
]
MAILS_KEPT = {"KERBLINE_SMTP_HOST": ""}
AT_ONCE = int(os.environ.get("KERBLINE_SENDS", "200"))


def test_two_hundred_sends_at_once(demo_catalogue: Any, tmp_path: Path) -> None:
    port = serving.free_port()
    env = serving.environment(tmp_path / "web", **MAILS_KEPT)
    web, worker = serving.start_web(port, env), serving.start_worker(env)
    with serving.ended(web, worker):
        asked = serving.prepared(AT_ONCE)
        serving.all_at_once(port, serving.prepared(8))
        alone = [serving.all_at_once(port, [one])[0][0] for one in serving.prepared(8)]
        assert serving.wait_until(lambda: Job.objects.count() == 16, 120)
        bare = serving.all_at_once(port, [("/begin/haldor-2/", {})] * AT_ONCE)
        sent = serving.all_at_once(port, asked)
        begun, at_once = time.monotonic(), Job.objects.count() - 16
        busy = serving.all_at_once(port, [("/begin/haldor-2/", {})] * AT_ONCE)
        assert serving.wait_until(lambda: Job.objects.count() >= AT_ONCE + 16, 600)
        opened_s = time.monotonic() - begun
    for name, found in (("bare", bare), ("send", sent), ("bare while the worker opens jobs", busy)):
        assert {status for _, status in found} == {302}, name
        times = sorted(took for took, _ in found)
        print(f"{name}: p50 {median(times):.2f} s, p99 {quantiles(times, n=100)[98]:.2f} s")
    print(f"one send alone: {median(alone) * 1000:.0f} ms")
    print(f"jobs open when the last answer came: {at_once}; all of them {opened_s:.0f} s later, one worker")
    p99 = [quantiles([took for took, _ in found], n=100)[98] for found in (sent, bare, busy)]
    print(f"p99 of sending is {p99[0] / p99[1]:.1f} times that of the bare view before it", end=", ")
    print(f"{p99[0] / p99[2]:.1f} times that after it, both with the worker at work")
    jobs = Job.objects.filter(revision__email__startswith="ida")
    assert jobs.count() == AT_ONCE + 16
    assert len(set(jobs.values_list("number", flat=True))) == AT_ONCE + 16
    assert not jobs.filter(Q(operations=None) | Q(parts=None) | Q(deposit_requests=None)).exists()
