"""Is a plan sound? Counted slot by slot from the problem's plain facts; shares no code with the planner."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from itertools import pairwise

from shop.planning.problem import Plan, Problem

QUARTER = timedelta(minutes=15)


def faults(problem: Problem, plan: Plan) -> list[str]:
    """Return every way in which a plan breaks what was asked; an empty list is a sound plan."""
    return [*_times(problem, plan), *_order(problem, plan), *_rooms(problem, plan), *_people(problem, plan)]


def _times(problem: Problem, plan: Plan) -> list[str]:
    found = []
    moments = problem.calendar.starts
    for step, start in zip(problem.steps, plan.starts, strict=True):
        if start < 0 or start + step.length > len(moments):
            found.append(f"{step.key} outside the calendar")
        elif step.pinned is not None and start != step.pinned:
            found.append(f"{step.key} moved from its pin")
        elif step.pinned is None and start < step.release:
            found.append(f"{step.key} before its release")
        elif (step.kind == "booth" or step.skill in ("prime", "colour", "lacquer")) and step.pinned is None:
            broken = moments[start + step.length - 1] - moments[start] != QUARTER * (step.length - 1)
            if broken and step.length <= _longest(moments):
                found.append(f"{step.key} left over a closing")
    return found


def _longest(moments: list) -> int:
    best = run = 1 if moments else 0
    for one, two in pairwise(moments):
        run = run + 1 if two - one == QUARTER else 1
        best = max(best, run)
    return best


def _order(problem: Problem, plan: Plan) -> list[str]:
    found = []
    moments = problem.calendar.starts
    for link in problem.links:
        first, then = problem.steps[link.first], problem.steps[link.then]
        if then.pinned is not None:
            continue
        end, start = plan.starts[link.first] + first.length, plan.starts[link.then]
        over = moments[end - 1] + QUARTER + timedelta(hours=link.wait_h)
        if start < end or moments[start] < over:
            found.append(f"{then.key} before {first.key} has waited")
    return found


def _rooms(problem: Problem, plan: Plan) -> list[str]:
    used: Counter[tuple[str, int]] = Counter()
    vehicle: dict[int, list[tuple[int, int, str]]] = {}
    for step, start in zip(problem.steps, plan.starts, strict=True):
        for slot in range(start, start + step.length):
            if step.kind:
                used[step.kind, slot] += 1
            for name, amount in step.also:
                used[name, slot] += amount
        if step.kind in ("bay", "lift"):
            vehicle.setdefault(step.job, []).append((start, start + step.length, step.kind))
    found = [f"{name} full at {slot}" for (name, slot), n in used.items() if n > problem.places[name]]
    for job, spans in vehicle.items():
        spans.sort()
        for (_, end, kind), (start, _, other) in pairwise(spans):
            if start < end + (problem.move if kind != other else 0):
                found.append(f"the vehicle of {job} is in two places or not moved in time at {start}")
    return found


def _people(problem: Problem, plan: Plan) -> list[str]:
    found = []
    busy: Counter[tuple[int | None, int]] = Counter()
    for step, start, who in zip(problem.steps, plan.starts, plan.who, strict=True):
        if not step.hands:
            continue
        if problem.crew and who is None:
            found.append(f"nobody does {step.key}")
            continue
        for slot in range(start, start + step.length):
            busy[who, slot] += 1 if problem.crew else step.hands
            if who is not None and not problem.crew[who].at_work >> slot & 1:
                found.append(f"{problem.crew[who].name} is not at work at {slot}")
        skills = problem.crew[who].skills if who is not None else frozenset()
        if skills and step.skill and step.skill not in skills:
            found.append(f"{problem.crew[who or 0].name} cannot do {step.key}")
    for (who, slot), n in busy.items():
        most = 1 if who is not None else problem.calendar.people[slot]
        if n > most:
            found.append(f"{who if who is not None else 'people'} with too much at {slot}")
    return found
