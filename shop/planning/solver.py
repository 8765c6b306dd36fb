"""A better plan where the optional ``plan`` extra is installed: a constraint solver (CP-SAT).

It starts from the greedy plan and never returns a worse one. It pays for up to about a dozen open jobs;
for a whole crowded month it finds nothing in a minute that the greedy planner has not found in seconds
(``test_planners_benchmark`` prints both).
"""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

from .greedy import plan_greedily
from .problem import HOLDS_VEHICLE, LATE_WEIGHT, NOT_SPLIT, Problem


def is_available() -> bool:
    """Return whether the solver is installed."""
    return find_spec("ortools") is not None


def plan_with_solver(problem: Problem, seconds: float = 20.0, workers: int = 2) -> tuple[list[int], bool]:
    """Return start slots and whether they are proved best; needs ``is_available()``."""
    from ortools.sat.python import cp_model

    hint = plan_greedily(problem)
    model = cp_model.CpModel()
    starts = _variables(model, cp_model, problem, hint)
    ends = [starts[i] + step.length for i, step in enumerate(problem.steps)]
    size = _horizon(problem, hint)
    _order(model, problem, starts, ends, size)
    _share(model, problem, starts)
    model.minimize(_objective(model, problem, ends, size))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return hint, False
    found = [solver.value(start) for start in starts]
    best = found if problem.cost(found) <= problem.cost(hint) else hint
    return best, status == cp_model.OPTIMAL


def _horizon(problem: Problem, hint: list[int]) -> int:
    """Return the slot by which all is done in any plan worth having: the greedy plan's end."""
    return min(len(problem.calendar), max(problem.ready(hint).values(), default=0) + 1)


def _variables(model: Any, cp_model: Any, problem: Problem, hint: list[int]) -> list[Any]:
    """One start for each step, in the slots where it may start; the greedy plan is the hint."""
    size = _horizon(problem, hint)
    found = []
    for index, step in enumerate(problem.steps):
        if step.pinned is not None:
            domain = cp_model.Domain(step.pinned, step.pinned)
        elif step.kind in NOT_SPLIT:
            bits = problem.unbroken_starts[step.length]
            allowed = [s for s in range(step.release, size - step.length + 1) if bits >> s & 1]
            domain = cp_model.Domain.FromValues(allowed)
        else:
            domain = cp_model.Domain(step.release, size - step.length)
        start = model.new_int_var_from_domain(domain, f"start{index}")
        model.add_hint(start, hint[index])
        found.append(start)
    return found


def _waited(model: Any, problem: Problem, end: Any, wait_h: float, size: int) -> Any:
    """Return the slot at which a wait that begins at ``end`` is over: a look-up in a table."""
    if not wait_h:
        return end
    calendar = problem.calendar
    table = [0] + [calendar.after_wait(slot, wait_h) for slot in range(1, size + 1)]
    free = model.new_int_var(0, len(calendar), "")
    position = model.new_int_var(0, size, "")
    model.add(position == end)
    model.add_element(position, table, free)
    return free


def _order(model: Any, problem: Problem, starts: list[Any], ends: list[Any], size: int) -> None:
    known: dict[tuple[int, float], Any] = {}
    for link in problem.links:
        if problem.steps[link.then].pinned is not None:
            continue
        if (link.first, link.wait_h) not in known:
            known[link.first, link.wait_h] = _waited(model, problem, ends[link.first], link.wait_h, size)
        model.add(starts[link.then] >= known[link.first, link.wait_h])


def _share(model: Any, problem: Problem, starts: list[Any]) -> None:
    """Places of a kind, people at work, and each vehicle are shared."""
    boxes = [
        model.new_fixed_size_interval_var(starts[i], step.length, f"step{i}")
        for i, step in enumerate(problem.steps)
    ]
    for kind, count in problem.places.items():
        mine = [box for box, step in zip(boxes, problem.steps, strict=True) if step.kind == kind]
        model.add_cumulative(mine, [1] * len(mine), count)
    most = max(problem.calendar.people, default=0)
    absent = [(slot, most - people) for slot, people in enumerate(problem.calendar.people) if people < most]
    away = [model.new_fixed_size_interval_var(slot, 1, "") for slot, _ in absent]
    model.add_cumulative(boxes + away, [1] * len(boxes) + [n for _, n in absent], most)
    for job in {step.job for step in problem.steps}:
        model.add_no_overlap(
            box
            for box, step in zip(boxes, problem.steps, strict=True)
            if step.job == job and step.kind in HOLDS_VEHICLE
        )


def _objective(model: Any, problem: Problem, ends: list[Any], size: int) -> Any:
    terms: list[Any] = []
    for job in sorted({step.job for step in problem.steps}):
        ready = model.new_int_var(0, size, f"ready{job}")
        for index, step in enumerate(problem.steps):
            if step.job == job:
                model.add(ready >= _waited(model, problem, ends[index], problem.tails.get(index, 0.0), size))
        terms.append(ready)
        if job in problem.due:
            late = model.new_int_var(0, size, f"late{job}")
            model.add(late >= ready - problem.due[job])
            terms.append(LATE_WEIGHT * late)
    return sum(terms)
