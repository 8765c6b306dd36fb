"""Which options are open and which are forced, exactly, with few questions to the solver.

Every model the solver finds shows many options open at once, and many not forced at once; only what no
model has shown is asked for by itself. Phases steer the next model towards what is still unknown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any


def split_open(
    solver: Any, assumed: Sequence[int], wanted: Iterable[int]
) -> tuple[set[int], set[int]] | None:
    """Return (open, forced) among the option numbers ``wanted``, or None when ``assumed`` contradict.

    Open: true in some model with ``assumed``. Forced: true in every one.
    """
    wanted = list(wanted)
    if not solver.solve(assumptions=assumed):
        return None
    first = solver.get_model()
    seen = {number for number in wanted if first[number - 1] > 0}
    always = set(seen)
    pending = [number for number in wanted if number not in seen]
    _find_open(solver, assumed, pending, seen, always)
    forced = _find_forced(solver, assumed, always)
    return seen, forced


def _find_open(
    solver: Any, assumed: Sequence[int], pending: list[int], seen: set[int], always: set[int]
) -> None:
    """Move every option that some model makes true from ``pending`` to ``seen``."""
    solver.set_phases(pending)
    pending = pending[::-1]
    while pending:
        number = pending.pop()
        if number in seen:
            continue
        if not solver.solve(assumptions=[*assumed, number]):
            continue
        model = solver.get_model()
        seen.add(number)
        for other in pending:
            if model[other - 1] > 0:
                seen.add(other)
        always.difference_update([other for other in always if model[other - 1] < 0])


def _find_forced(solver: Any, assumed: Sequence[int], always: set[int]) -> set[int]:
    """Return those of ``always`` that no model makes false."""
    given = set(assumed)
    forced = {number for number in always if number in given}
    candidates = [number for number in sorted(always) if number not in given]
    solver.set_phases([-number for number in candidates])
    left = set(candidates)
    for number in candidates:
        if number not in left:
            continue
        left.discard(number)
        if solver.solve(assumptions=[*assumed, -number]):
            model = solver.get_model()
            left = {other for other in left if model[other - 1] > 0}
        else:
            forced.add(number)
    return forced
