"""Which booked times still hold: each is looked at in turn, and what does not hold is let go, with why."""

from __future__ import annotations

from dataclasses import replace

from .loading import Loaded
from .models import BrokenPromise
from .occupied import HorizonError, Occupied
from .problem import Problem

Because = BrokenPromise.Because


def loosen(loaded: Loaded) -> None:
    """Unpin every step that cannot keep its time and note why in ``loaded.loosened``.

    Steps are looked at in the order of their times, so of two that want one place the earlier keeps it.
    """
    problem = loaded.problem
    starts: dict[int, int] = {}
    occupied = Occupied(problem)
    pinned = [i for i, step in enumerate(problem.steps) if step.pinned is not None]
    for index in sorted(pinned, key=lambda i: (problem.steps[i].pinned, i)):
        because, who = _why_not(problem, occupied, index, starts)
        if because is None:
            starts[index] = problem.steps[index].pinned or 0
            occupied.take(index, starts[index], who)
        else:
            loaded.loosened[index] = because
    for index in set(pinned) - set(starts):
        problem.steps[index] = replace(problem.steps[index], pinned=None)


def _why_not(
    problem: Problem, occupied: Occupied, index: int, starts: dict[int, int]
) -> tuple[Because | None, int | None]:
    step = problem.steps[index]
    assert step.pinned is not None  # noqa: S101 - only pinned steps are asked about
    if step.release > step.pinned:
        return Because.PARTS, None
    if any(link.first not in starts for link in problem.before[index]):
        return Because.BEFORE, None
    if problem.earliest(index, starts) > step.pinned:
        return Because.BEFORE, None
    try:
        at, who = occupied.first_free(index, step.pinned)
    except HorizonError:
        at, who = -1, None
    if at == step.pinned:
        return None, who
    return (Because.PERSON if occupied.has_place(index, step.pinned) else Because.PLACE), None
