"""Generated jobs to plan; hours are plausible, invented, and the same for the same seed."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, time
from zoneinfo import ZoneInfo

from shop.planning.calendar import Stretch, WorkCalendar
from shop.planning.problem import Link, Problem, Step, slots

ZONE = ZoneInfo("Europe/Berlin")
MONDAY = date(2026, 3, 2)

# (kind, hands-on hours low, high, wait after, names of what comes before)
PAINTED = {
    "book-in": ("bay", 0.25, 0.5, 0, ()),
    "strip": ("bay", 0.5, 2.0, 0, ("book-in",)),
    "prep": ("bench", 0.5, 2.0, 0, ("strip",)),
    "prime": ("booth", 0.5, 1.0, 2, ("prep",)),
    "colour": ("booth", 0.5, 1.5, 1, ("prime",)),
    "lacquer": ("booth", 0.5, 1.0, 12, ("colour",)),
    "refit": ("bay", 0.5, 2.0, 0, ("lacquer",)),
    "bond": ("bay", 0.25, 0.75, 12, ("refit",)),
    "wash": ("bay", 0.5, 0.5, 0, ("bond",)),
    "check": ("bay", 0.25, 0.5, 0, ("wash",)),
}
WHEELS = {
    "wheels off": ("lift", 0.5, 0.75, 0, ("book-in",)),
    "torque": ("lift", 0.5, 1.0, 0, ("wheels off",)),
}
CALIPERS = {"caliper": ("lift", 1.0, 2.0, 8, ("wheels off",))}


def month_of_jobs(count: int = 40, seed: int = 7) -> Problem:
    """Return so many jobs that come in over four weeks, for two bays, a lift, a booth and a bench."""
    rng = random.Random(seed)
    calendar = WorkCalendar(MONDAY, 120, ZONE)
    problem = Problem(calendar, {"bay": 2, "lift": 1, "booth": 1, "bench": 1}, [])
    for job in range(count):
        _add_job(problem, job, release=rng.randrange(20) * 32, rng=rng)
    return problem


def _add_job(problem: Problem, job: int, release: int, rng: random.Random) -> None:
    kind = rng.choice(["painted", "wheels", "both", "both", "calipers"])
    steps = {"book-in": PAINTED["book-in"]} if kind in ("wheels", "calipers") else dict(PAINTED)
    if kind != "painted":
        steps |= WHEELS
    if kind == "calipers":
        steps |= CALIPERS
        steps["torque"] = (*steps["torque"][:4], ("wheels off", "caliper"))
    if "check" not in steps:
        steps["check"] = ("bay", 0.25, 0.5, 0, ("torque",))
    elif kind == "both":
        steps["check"] = (*steps["check"][:4], ("wash", "torque"))
    index = {}
    for name, (place, low, high, _, _) in steps.items():
        index[name] = len(problem.steps)
        problem.steps.append(Step(job, name, place, slots(rng.uniform(low, high)), release))
    for name, (_, _, _, _, before) in steps.items():
        problem.links += [Link(index[first], index[name], steps[first][3]) for first in before]
    problem.due[job] = release + rng.randrange(3, 8) * 32


def week_of_jobs(count: int = 10, seed: int = 7) -> Problem:
    """Return so many jobs that all come in within three days and compete for the same places."""
    problem = month_of_jobs(count, seed)
    problem.steps = [replace(step, release=step.release % 96) for step in problem.steps]
    return problem


def short_days(days: int = 5, people: int = 2) -> WorkCalendar:
    """Return a calendar of one working hour a day, for instances small enough to try everything."""
    return WorkCalendar(MONDAY, days, ZONE, [Stretch(day, time(9), time(10), people) for day in range(7)])
