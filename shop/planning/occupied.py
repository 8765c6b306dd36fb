"""What is full, by slot, as bit sets in whole numbers: the first free run is found by a few shifts."""

from __future__ import annotations

from .problem import HOLDS_VEHICLE, PEOPLE, Problem

WINDOW = 512  # slots looked at first; nearly every step finds its place within some weeks


class HorizonError(Exception):
    """The calendar is too short for the work."""


def first_run(free: int, length: int) -> int:
    """Return the bits of ``free`` at which a run of so many set bits begins."""
    have = 1
    while have < length and free:
        shift = min(have, length - have)
        free &= free >> shift
        have += shift
    return free


class Occupied:
    """Levels by shared name (level n is full where more than n units are taken), vehicles and people."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.size = len(problem.calendar)
        self.levels = {name: [0] * count for name, count in problem.places.items()}
        if not problem.crew:
            self.levels[PEOPLE] = list(problem.hand_levels)
        self.vehicles: dict[tuple[int, str], int] = {}
        everyone = (1 << self.size) - 1
        self.busy = [everyone & ~person.at_work for person in problem.crew]
        self.last_on: dict[int, int] = {}

    def first_free(self, index: int, earliest: int) -> tuple[int, int | None]:
        """Return the first slot from ``earliest`` on where the step finds everything free, and who does it.

        Raises HorizonError when the calendar ends before that.
        """
        problem, width = self.problem, WINDOW
        length = problem.steps[index].length
        while True:
            width = min(width, self.size - earliest)
            if width < length:
                raise HorizonError(f"no room for {problem.steps[index].key} within {self.size} slots")
            found = self._in_window(index, earliest, width)
            if found is not None:
                return found
            if width == self.size - earliest:
                raise HorizonError(f"no room for {problem.steps[index].key} within {self.size} slots")
            width *= 8

    def _in_window(self, index: int, earliest: int, width: int) -> tuple[int, int | None] | None:
        problem = self.problem
        step = problem.steps[index]
        mask = (1 << width) - 1
        blocked = 0
        for name, amount in problem.shares[index]:
            levels = self.levels[name]
            if amount > len(levels):
                return None
            blocked |= levels[-amount] >> earliest
        if step.kind in HOLDS_VEHICLE:
            blocked |= self.vehicles.get((step.job, step.kind), 0) >> earliest
        free = ~blocked & mask
        starts = problem.unbroken_starts[step.length] >> earliest if step.unbroken else mask
        if not problem.crew or not step.hands:
            runs = first_run(free, step.length) & starts
            return (earliest + (runs & -runs).bit_length() - 1, None) if runs else None
        return self._with_someone(index, earliest, free, starts)

    def has_place(self, index: int, start: int) -> bool:
        """Return whether everything but somebody to do it is free at a slot."""
        step = self.problem.steps[index]
        mask = ((1 << step.length) - 1) << start
        blocked = self.vehicles.get((step.job, step.kind), 0) if step.kind in HOLDS_VEHICLE else 0
        for name, amount in self.problem.shares[index]:
            blocked |= 0 if name == PEOPLE else self.levels[name][-amount]
        return not blocked & mask

    def block(self, kind: str, start: int, length: int, who: int | None) -> None:
        """Mark a place and somebody (or nameless hands) as taken by work that is planned already."""
        mask = ((1 << length) - 1) << start
        for name in (kind, *(() if self.problem.crew else (PEOPLE,))):
            rest = mask
            for level, taken in enumerate(self.levels.get(name, [])):
                self.levels[name][level] = taken | rest
                rest &= taken
        if who is not None:
            self.busy[who] |= mask

    def copy(self) -> Occupied:
        """Return the same again, to try something on."""
        twin = Occupied.__new__(Occupied)
        twin.problem, twin.size = self.problem, self.size
        twin.levels = {name: list(levels) for name, levels in self.levels.items()}
        twin.vehicles, twin.busy = dict(self.vehicles), list(self.busy)
        twin.last_on = dict(self.last_on)
        return twin

    def _with_someone(self, index: int, earliest: int, free: int, starts: int) -> tuple[int, int] | None:
        """Whoever can begin first; of several, whoever was on this job last, then who can do least else."""
        step = self.problem.steps[index]
        best: tuple[int, bool, int, int] | None = None
        for rank, person in enumerate(self.problem.able[index]):
            runs = first_run(free & ~(self.busy[person] >> earliest), step.length) & starts
            if runs:
                at = earliest + (runs & -runs).bit_length() - 1
                tried = (at, self.last_on.get(step.job) != person, rank, person)
                best = tried if best is None or tried < best else best
        return (best[0], best[3]) if best else None

    def take(self, index: int, start: int, who: int | None) -> None:
        """Mark what the step uses: each level takes what the one below already holds."""
        step = self.problem.steps[index]
        mask = ((1 << step.length) - 1) << start
        for name, amount in self.problem.shares[index]:
            levels = self.levels[name]
            for _ in range(amount):
                rest = mask
                for level, taken in enumerate(levels):
                    levels[level] = taken | rest
                    rest &= taken
                    if not rest:
                        break
        if who is not None:
            self.busy[who] |= mask
            self.last_on[step.job] = who
        if step.kind in HOLDS_VEHICLE:
            self._take_vehicle(step.job, step.kind, start, step.length, mask)

    def _take_vehicle(self, job: int, kind: str, start: int, length: int, mask: int) -> None:
        """At another kind of place the vehicle is also missing while it is moved there and back."""
        begin = max(0, start - self.problem.move)
        around = ((1 << (start + length + self.problem.move - begin)) - 1) << begin
        for other in HOLDS_VEHICLE:
            key = (job, other)
            self.vehicles[key] = self.vehicles.get(key, 0) | (mask if other == kind else around)
