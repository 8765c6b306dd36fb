"""Two hundred customers send at once, beside a view that writes one row under the same load.

``DATABASE_URL=… REDIS_URL=… python -m pytest -m benchmark -n 0 -s tests/benchmarks/site``. The ratio is
printed; the machine's own speed is no part of it.
"""

from __future__ import annotations

import os
from pathlib import Path
from statistics import median, quantiles
from typing import Any

import pytest

from shop.models import Job
from tests.site import serving

pytestmark = [
    pytest.mark.benchmark,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif("postgres" not in os.environ.get("DATABASE_URL", ""), reason="needs PostgreSQL"),
    pytest.mark.skipif(not os.environ.get("REDIS_URL"), reason="needs REDIS_URL"),
]
AT_ONCE = int(os.environ.get("KERBLINE_SENDS", "200"))


def test_two_hundred_sends_at_once(demo_catalogue: Any, tmp_path: Path) -> None:
    port = serving.free_port()
    web = serving.start_web(port, serving.environment(tmp_path / "web"))
    with serving.ended(web):
        asked = serving.prepared(AT_ONCE)
        warm = serving.prepared(8)
        serving.all_at_once(port, warm)
        alone = [serving.all_at_once(port, [one])[0][0] for one in serving.prepared(8)]
        bare = serving.all_at_once(port, [("/begin/haldor-2/", {})] * AT_ONCE)
        sent = serving.all_at_once(port, asked)
    for name, found in (("bare", bare), ("send", sent)):
        assert {status for _, status in found} == {302}, name
        times = sorted(took for took, _ in found)
        print(f"{name}: p50 {median(times):.2f} s, p99 {quantiles(times, n=100)[98]:.2f} s")
    print(f"one send alone: {median(alone) * 1000:.0f} ms")
    p99 = [quantiles([took for took, _ in found], n=100)[98] for found in (sent, bare)]
    print(f"p99 of sending is {p99[0] / p99[1]:.1f} times that of the bare view")
    assert Job.objects.filter(revision__email__startswith="ida").count() == AT_ONCE + 16
