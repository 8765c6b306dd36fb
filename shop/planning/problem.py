"""What there is to plan, and what a plan costs. No Django here.

A step holds one place of its kind and one person for its whole length, in slots without a gap other
than closing time. Steps that need the vehicle itself (bay, lift) exclude each other within one job.
Work in the booth is not left half-sprayed over a closing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from .calendar import SLOTS_PER_HOUR, WorkCalendar

HOLDS_VEHICLE = frozenset({"bay", "lift"})
NOT_SPLIT = frozenset({"booth"})
LATE_WEIGHT = 10


def slots(hours: float) -> int:
    """Return hours of hands-on work in whole slots, rounded up."""
    return math.ceil(round(hours * SLOTS_PER_HOUR, 6))


@dataclass(frozen=True)
class Step:
    """One step: ``length`` slots of hands, not before slot ``release``; ``pinned`` fixes its start."""

    job: int
    key: str
    kind: str
    length: int
    release: int = 0
    pinned: int | None = None


@dataclass(frozen=True)
class Link:
    """Step ``then`` starts no sooner than ``wait_h`` elapsed hours after step ``first`` ends."""

    first: int
    then: int
    wait_h: float = 0.0


@dataclass
class Problem:
    """Steps by index, links between them, places by kind, and the calendar.

    ``tails`` are elapsed hours from a step's end until its job could be ready; ``due`` is the slot by
    which a job was promised.
    """

    calendar: WorkCalendar
    places: dict[str, int]
    steps: list[Step]
    links: list[Link] = field(default_factory=list)
    tails: dict[int, float] = field(default_factory=dict)
    due: dict[int, int] = field(default_factory=dict)

    @cached_property
    def before(self) -> list[list[Link]]:
        """The links into each step."""
        found: list[list[Link]] = [[] for _ in self.steps]
        for link in self.links:
            found[link.then].append(link)
        return found

    @cached_property
    def following(self) -> list[list[Link]]:
        """The links out of each step."""
        found: list[list[Link]] = [[] for _ in self.steps]
        for link in self.links:
            found[link.first].append(link)
        return found

    @cached_property
    def unbroken_starts(self) -> dict[int, int]:
        """For each length, the slots where work may start that must not be split, as a bit set."""
        longest = self.calendar.longest_stretch()
        found: dict[int, int] = {}
        for length in {step.length for step in self.steps if step.kind in NOT_SPLIT}:
            fits = range(len(self.calendar))
            if length <= longest:
                fits = [s for s in fits if self.calendar.fits_in_one_stretch(s, length)]  # type: ignore[assignment]
            found[length] = sum(1 << slot for slot in fits)
        return found

    def earliest(self, index: int, starts: dict[int, int]) -> int:
        """Return the first slot that the step's release and its planned predecessors allow."""
        slot = self.steps[index].release
        for link in self.before[index]:
            end = starts[link.first] + self.steps[link.first].length
            slot = max(slot, self.calendar.after_wait(end, link.wait_h))
        return slot

    def ready(self, starts: list[int]) -> dict[int, int]:
        """Return the slot at which each job is ready, its last waits over."""
        found: dict[int, int] = {}
        for index, step in enumerate(self.steps):
            end = self.calendar.after_wait(starts[index] + step.length, self.tails.get(index, 0.0))
            found[step.job] = max(found.get(step.job, 0), end)
        return found

    def cost(self, starts: list[int]) -> int:
        """Return the sum over jobs of the slot they are ready, and ten times each slot they are late."""
        total = 0
        for job, slot in self.ready(starts).items():
            total += slot + LATE_WEIGHT * max(0, slot - self.due.get(job, slot))
        return total

    def faults(self, starts: list[int]) -> list[str]:
        """Return every way in which a plan breaks the rules; an empty list is a sound plan."""
        known = dict(enumerate(starts))
        found = [
            f"{step.key} too early"
            for i, step in enumerate(self.steps)
            if step.pinned is None and starts[i] < self.earliest(i, known)
        ]
        for i, step in enumerate(self.steps):
            if step.pinned is not None and starts[i] != step.pinned:
                found.append(f"{step.key} moved")
            if step.length in self.unbroken_starts and step.kind in NOT_SPLIT and step.pinned is None:
                found += [] if self.unbroken_starts[step.length] >> starts[i] & 1 else [f"{step.key} split"]
        return found + self._crowds(starts)

    def _crowds(self, starts: list[int]) -> list[str]:
        use: dict[tuple[object, int], int] = {}
        for i, step in enumerate(self.steps):
            holders: list[object] = [step.kind, "people"]
            holders += [("vehicle", step.job)] if step.kind in HOLDS_VEHICLE else []
            for slot in range(starts[i], starts[i] + step.length):
                for holder in holders:
                    use[holder, slot] = use.get((holder, slot), 0) + 1
        return [
            f"{holder} full at {slot}" for (holder, slot), n in use.items() if n > self._room(holder, slot)
        ]

    def _room(self, holder: object, slot: int) -> int:
        if holder == "people":
            return self.calendar.people[slot] if slot < len(self.calendar) else 0
        return self.places.get(str(holder), 0) if isinstance(holder, str) else 1
