"""A price list of 50,000 rows: bounded memory, and the same list twice changes nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

pytestmark = pytest.mark.benchmark
ROWS, MOST_MB = 50_000, 300


def run(folder: Path, *words: str) -> str:
    """Run the script in a process of its own, whose memory is then its own too."""
    command = [sys.executable, "-m", "tests.benchmarks.shop.long_price_list", str(ROWS), *words]
    there = {**os.environ, "KERBLINE_DATA": str(folder)}
    there.pop("DATABASE_URL", None)
    done = subprocess.run(
        command, cwd=settings.BASE_DIR, env=there, capture_output=True, text=True, check=True
    )
    return done.stdout


def test_fifty_thousand_rows_stay_within_memory_and_twice_is_once(tmp_path: Path) -> None:
    run(tmp_path, "make")
    told = json.loads(run(tmp_path).splitlines()[-1])
    print(json.dumps(told, indent=1))
    assert told["new"]["new"] == ROWS
    assert told["again"]["same"] == ROWS
    assert told["again"]["version"] is None
    assert told["dearer"]["changed"] == ROWS
    assert told["dearer"]["version"] == told["new"]["version"] + 1
    assert max(told[name]["peak_mb"] for name in ("new", "again", "dearer")) < MOST_MB
