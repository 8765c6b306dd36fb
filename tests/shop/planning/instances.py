"""Published instances of job-shop and project scheduling as problems to plan; sources are in the files."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import time
from pathlib import Path

from shop.planning.calendar import Stretch, WorkCalendar
from shop.planning.problem import Link, Problem, Step

from .cases import MONDAY, ZONE

FOLDER = Path(__file__).parent / "published"


def _rows(name: str) -> dict[str, list[dict[str, str]]]:
    found: dict[str, list[dict[str, str]]] = {}
    with (FOLDER / name).open() as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            found.setdefault(row["instance"], []).append(row)
    return found


def _line(slots: int) -> WorkCalendar:
    """Return so many slots without people, nights or breaks that would matter."""
    hours = [Stretch(day, time(0), time(23, 45), people=1) for day in range(7)]
    return WorkCalendar(MONDAY, slots // 95 + 1, ZONE, hours)


def job_shops(names: Iterator[str] | tuple[str, ...] = ()) -> dict[str, tuple[Problem, int]]:
    """Return ft06, ft10 and la01 to la40 with their least makespan: one slot is one unit of time."""
    return {
        name: (_job_shop(rows), int(rows[0]["optimum"]))
        for name, rows in _rows("job_shop.csv").items()
        if not names or name in names
    }


def _job_shop(rows: list[dict[str, str]]) -> Problem:
    steps: list[Step] = []
    links = []
    for job, row in enumerate(rows):
        for number, pair in enumerate(row["steps"].split()):
            machine, length = pair.split(":")
            if number:
                links.append(Link(len(steps) - 1, len(steps)))
            steps.append(Step(job, f"{job}.{number}", f"machine {machine}", int(length), hands=0))
    line = _line(sum(step.length for step in steps))
    return Problem(line, {step.kind: 1 for step in steps}, steps, links, makespan=True)


def projects(names: tuple[str, ...] = ()) -> dict[str, tuple[Problem, int]]:
    """Return instances of j30 with their least makespan; the dummies at both ends are left out."""
    return {
        name: (_project(rows), int(rows[0]["optimum"]))
        for name, rows in _rows("j30.csv").items()
        if not names or name in names
    }


def _project(rows: list[dict[str, str]]) -> Problem:
    places = {f"R{n}": int(each) for n, each in enumerate(rows[0]["capacities"].split())}
    real = {number: at for at, number in enumerate(n for n, row in enumerate(rows, 1) if int(row["length"]))}
    steps, links = [], []
    for number, row in enumerate(rows, 1):
        if number not in real:
            continue
        also = tuple((f"R{n}", int(each)) for n, each in enumerate(row["needs"].split()) if int(each))
        steps.append(Step(0, str(number), "", int(row["length"]), hands=0, also=also))
        links += [Link(real[number], real[int(n)]) for n in row["followers"].split() if int(n) in real]
    return Problem(_line(sum(step.length for step in steps)), places, steps, links, makespan=True)
