"""Whatever one cell of the files becomes: it loads, or file, row and field are named and nothing changed."""

from __future__ import annotations

import csv
import io
import json
import random
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from configurator.catalogue import judging, loader, versions
from configurator.catalogue.loader import CatalogueError

from .conftest import FILES

TABLES = sorted(path.name for path in FILES.glob("*.csv"))
NESTED = sorted(path.name for path in FILES.glob("*.toml"))
HOSTILE = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        [
            "",
            " ",
            "-1",
            "0",
            "1e999",
            "NaN",
            "Infinity",
            "9" * 60,
            "1.23456789",
            "yes",
            "\x00",
            "\n",
            '"',
            "a,b",
            "::",
            "1:2:3",
            "1:x",
            "cone60",
            "tag:",
            "!",
            "' OR 1=1 --",
            "é" * 200,
            "{}",
            "None",
            "2e4",
            "٣",
            "１２",
        ]
    ),
)


def spoil_csv(path: Path, seed: int, value: str) -> None:
    """Write a value into one random cell, header included."""
    rows = list(csv.reader(path.read_text().splitlines()))
    choice = random.Random(seed)
    row = choice.choice(rows)
    row[choice.randrange(len(row))] = value
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    path.write_bytes(out.getvalue().encode("utf-8", "surrogatepass"))


def spoil_toml(path: Path, seed: int, value: str) -> None:
    """Replace what follows one random equals sign by the value, as text or as it stands."""
    lines = path.read_text().splitlines()
    choice = random.Random(seed)
    number = choice.choice([n for n, line in enumerate(lines) if " = " in line])
    name = lines[number].split(" = ")[0]
    written = json.dumps(value) if choice.random() < 0.7 else value
    lines[number] = f"{name} = {written}"
    path.write_bytes("\n".join(lines).encode("utf-8", "surrogatepass"))


def spoiled(tmp: Path, file: str, seed: int, value: str) -> Path:
    """Return a fresh copy of the files with one cell spoiled."""
    folder = tmp / "catalogue"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(FILES, folder)
    (spoil_csv if file.endswith(".csv") else spoil_toml)(folder / file, seed, value)
    return folder


def with_examples(many):
    """Have a test given so many spoiled cells."""
    cells = given(file=st.sampled_from(TABLES + NESTED), seed=st.integers(0, 10**9), value=HOSTILE)
    slow = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture]
    few = settings(max_examples=many, suppress_health_check=slow)
    return lambda test: few(cells(test))


def check_findings(findings: object, file: str) -> None:
    assert findings
    for one in findings:  # type: ignore[attr-defined]
        assert one.file
        assert one.message.strip()
        assert one.row >= 0


@pytest.mark.long
@with_examples(8)
def test_judging_never_breaks(tmp_path, file, seed, value):
    judge_one(tmp_path, file, seed, value)


@pytest.mark.long
@with_examples(60)
def test_judging_never_breaks_on_many(tmp_path, file, seed, value):
    judge_one(tmp_path, file, seed, value)


def judge_one(tmp_path, file, seed, value):
    folder = spoiled(tmp_path, file, seed, value)
    rows, findings = judging.judge(folder)
    if findings:
        check_findings(findings, file)
    else:
        assert rows["options"]


@pytest.mark.long
@pytest.mark.django_db
@with_examples(2)
def test_loading_is_all_or_nothing(demo, tmp_path, file, seed, value):
    load_one(tmp_path, file, seed, value)


@pytest.mark.long
@pytest.mark.django_db
@with_examples(15)
def test_loading_is_all_or_nothing_of_many(demo, tmp_path, file, seed, value):
    load_one(tmp_path, file, seed, value)


def load_one(tmp_path, file, seed, value):
    before = versions.digest()
    folder = spoiled(tmp_path, file, seed, value)
    try:
        loaded = loader.load(folder)
    except CatalogueError as error:
        check_findings(error.findings, file)
        assert versions.digest() == before
    else:
        assert loaded.version.digest == versions.digest()
