"""Try a seeded sample of the mistakes of some files against some tests.

python -m tests.mutating --files 'shop/money/*.py' --tests tests/shop/money --sample 250 --seed 1
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import random
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from .mistakes import Mistake, mistakes
from .planting import Planted
from .trying import KILLED, STUCK, SURVIVED, UNREACHED, Trying

ROOT = Path.cwd()
PLANT = "KERBLINE_MISTAKE"
LEFT_OUT = ("migrations/", "/views", "/urls", "/forms", "/names", "/words", "/demo", "/fixtures", "/picture")
# Long tests too, which a run of everything leaves out.
MARKED = "not browser and not services and not benchmark and not markup"
PYTEST = ["-n", "0", "-q", "-m", MARKED, "-p", "no:cacheprovider", "-p", "no:randomly", "--no-header"]


def options() -> argparse.Namespace:
    """Return what the command was given."""
    reader = argparse.ArgumentParser(prog="python -m tests.mutating", description=__doc__)
    reader.add_argument("--files", nargs="+", required=True, help="patterns of files")
    reader.add_argument("--tests", nargs="+", required=True, help="paths of tests")
    reader.add_argument("--sample", type=int, default=250)
    reader.add_argument("--seed", type=int, default=1)
    reader.add_argument("--seconds", type=float, default=20, help="of tests a mistake, processor time")
    reader.add_argument("--tables", action="store_true", help="what runs on import too; slow")
    reader.add_argument("--out", type=Path, default=Path("/tmp/mistakes.jsonl"))
    reader.add_argument("--again", type=Path, help="only those that survived in this file")
    return reader.parse_args()


def drawn(given: argparse.Namespace) -> tuple[int, list[Mistake]]:
    """Return how many mistakes there are, and the sample that the seed draws."""
    files = sorted({str(path) for pattern in given.files for path in Path().glob(pattern)})
    files = [path for path in files if not any(part in path for part in LEFT_OUT)]
    every = [one for path in files for one in mistakes(ROOT, path, tables=given.tables)]
    random.Random(given.seed).shuffle(every)
    chosen = list(itertools.islice((one for one in every if one.runs()), given.sample))
    if given.again:
        lines = map(json.loads, given.again.read_text().splitlines())
        wanted = {line["name"] for line in lines if line["found"] in (SURVIVED, UNREACHED)}
        chosen = [one for one in chosen if one.name in wanted]
    return len(every), chosen


def outside(mistake: Mistake, given: argparse.Namespace) -> str:
    """Try a mistake outside functions in a process that imports the changed file."""
    changed = given.out.with_suffix(".mistake.json")
    changed.write_text(json.dumps([mistake.path, mistake.text]))
    command = [sys.executable, "-m", "pytest", "-x", "-p", "tests.mutating.__main__", *PYTEST, *given.tests]
    found = subprocess.run(command, env={**os.environ, PLANT: str(changed)}, capture_output=True, check=False)
    return KILLED if found.returncode else SURVIVED


def main() -> int:
    """Try them and tell the figures."""
    given = options()
    total, chosen = drawn(given)
    counts: Counter[str] = Counter()
    print(f"{total} mistakes, {len(chosen)} to try", flush=True)
    with given.out.open("w") as out:

        def tell(mistake: Mistake, found: str) -> None:
            if found == UNREACHED and given.tables:
                # Such as a function that makes a table, called while its file is imported.
                found = outside(mistake, given)
            counts[found] += 1
            print(json.dumps({"name": mistake.name, "found": found}), file=out, flush=True)
            if found in (SURVIVED, UNREACHED):
                print(f"{found}: {mistake}", flush=True)

        for mistake in [one for one in chosen if not one.function]:
            tell(mistake, outside(mistake, given))
        inside = [one for one in chosen if one.function]
        ended = (
            pytest.main([*PYTEST, *given.tests], plugins=[Trying(inside, tell, given.seconds)])
            if inside
            else 0
        )
    killed = counts[KILLED] + counts[STUCK]
    print(f"{killed} of {counts.total()} killed, {counts[STUCK]} of them without an end; {dict(counts)}")
    return int(ended)


if PLANT in os.environ:
    Planted.install(*json.loads(Path(os.environ[PLANT]).read_text()))
elif __name__ == "__main__":
    sys.exit(main())
