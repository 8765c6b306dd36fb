"""What there is to plan, and what a plan costs. No Django here.

A step holds one place of its kind and so many pairs of hands for its whole length, in slots without a gap
other than closing time. Steps that need the vehicle itself (bay, lift) exclude each other within one job, and
between two kinds of place the vehicle is moved, which takes ``move`` slots. Work in the booth, and a coat
sprayed elsewhere, is not left half-sprayed over a closing. Where the workshop has named its people
(``crew``), one person who can do the step does the whole of it, in their own hours, one thing at a time;
otherwise ``calendar.people`` says how many work.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from .calendar import SLOTS_PER_HOUR, WorkCalendar

HOLDS_VEHICLE = frozenset({"bay", "lift"})
NOT_SPLIT = frozenset({"booth"})
COATS = frozenset({"prime", "colour", "lacquer"})
LATE_WEIGHT = 10
PEOPLE = "people"


def slots(hours: float) -> int:
    """Return hours of hands-on work in whole slots, rounded up; exact for hours written in decimals."""
    return math.ceil(Fraction(repr(float(hours))) * SLOTS_PER_HOUR)


@dataclass(frozen=True)
class Person:
    """One person: what they can do (stages of work; empty is everything), and the slots they are at work.

    ``at_work`` is a bit set of the calendar's slots.
    """

    name: str
    at_work: int
    skills: frozenset[str] = frozenset()

    def can(self, skill: str) -> bool:
        """Return whether they can do work of this kind."""
        return not self.skills or not skill or skill in self.skills


@dataclass(frozen=True)
class Step:
    """One step: ``length`` slots of hands, not before slot ``release``; ``pinned`` fixes its start.

    ``kind`` is the kind of place it holds ("" is none), ``hands`` how many people, ``skill`` what one of
    the crew must be able to do, ``also`` further shares of ``Problem.places``: (name, amount).
    """

    job: int
    key: str
    kind: str
    length: int
    release: int = 0
    pinned: int | None = None
    skill: str = ""
    hands: int = 1
    also: tuple[tuple[str, int], ...] = ()

    @property
    def unbroken(self) -> bool:
        """Whether it may not be left over a closing."""
        return self.kind in NOT_SPLIT or self.skill in COATS


@dataclass(frozen=True)
class Link:
    """Step ``then`` starts no sooner than ``wait_h`` elapsed hours after step ``first`` ends."""

    first: int
    then: int
    wait_h: float = 0.0


@dataclass(frozen=True)
class Plan:
    """A start slot for each step, and who of the crew does it (None where nobody is named)."""

    starts: list[int]
    who: list[int | None]


@dataclass
class Problem:
    """Steps by index, links between them, places by kind, and the calendar.

    ``tails`` are elapsed hours from a step's end until its job could be ready; ``due`` is the slot by
    which a job was promised. ``makespan`` has a plan judged by its last job alone, as published
    instances are, instead of by every job and its promise.
    """

    calendar: WorkCalendar
    places: dict[str, int]
    steps: list[Step]
    links: list[Link] = field(default_factory=list)
    tails: dict[int, float] = field(default_factory=dict)
    due: dict[int, int] = field(default_factory=dict)
    crew: tuple[Person, ...] = ()
    move: int = 0
    makespan: bool = False

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
    def shares(self) -> list[tuple[tuple[str, int], ...]]:
        """What each step takes of what is shared: (name, amount), hands included where nobody is named."""
        return [
            (
                *(((step.kind, 1),) if step.kind else ()),
                *(((PEOPLE, step.hands),) if step.hands and not self.crew else ()),
                *step.also,
            )
            for step in self.steps
        ]

    @cached_property
    def able(self) -> list[tuple[int, ...]]:
        """Who of the crew can do each step, those who can do least first; empty where hands do not count."""
        order = sorted(range(len(self.crew)), key=lambda n: (len(self.crew[n].skills) or 99, n))
        return [
            tuple(n for n in order if self.crew[n].can(step.skill)) if step.hands else ()
            for step in self.steps
        ]

    @cached_property
    def hand_levels(self) -> list[int]:
        """Nameless hands as levels of bit sets: level n is full where more than n are taken.

        Where fewer work than at the busiest time, the first levels are full beforehand.
        """
        most = max(self.calendar.people, default=0)
        bits = [bytearray(len(self.calendar) // 8 + 1) for _ in range(most)]
        for slot, count in enumerate(self.calendar.people):
            for level in range(most - count):
                bits[level][slot >> 3] |= 1 << (slot & 7)
        return [int.from_bytes(each, "little") for each in bits]

    @cached_property
    def unbroken_starts(self) -> dict[int, int]:
        """For each length, the slots where work may start that must not be split, as a bit set."""
        longest = self.calendar.longest_stretch()
        found: dict[int, int] = {}
        for length in {step.length for step in self.steps if step.unbroken}:
            fits: Sequence[int] = range(len(self.calendar))
            if length <= longest:
                fits = [slot for slot in fits if self.calendar.fits_in_one_stretch(slot, length)]
            bits = bytearray(len(self.calendar) // 8 + 1)
            for slot in fits:
                bits[slot >> 3] |= 1 << (slot & 7)
            found[length] = int.from_bytes(bits, "little")
        return found

    def earliest(self, index: int, starts: dict[int, int]) -> int:
        """Return the first slot that the step's release and its planned predecessors allow."""
        slot = self.steps[index].release
        for link in self.before[index]:
            end = starts[link.first] + self.steps[link.first].length
            slot = max(slot, self.calendar.after_wait(end, link.wait_h) + self.move_between(link))
        return slot

    def move_between(self, link: Link) -> int:
        """Return the slots it takes to bring the vehicle from one step's place to the next one's."""
        one, two = self.steps[link.first].kind, self.steps[link.then].kind
        return self.move if one != two and {one, two} <= HOLDS_VEHICLE else 0

    def ready(self, starts: Sequence[int]) -> dict[int, int]:
        """Return the slot at which each job is ready, its last waits over."""
        found: dict[int, int] = {}
        after_wait, tails = self.calendar.after_wait, self.tails
        for index, step in enumerate(self.steps):
            end = starts[index] + step.length
            if tail := tails.get(index):
                end = after_wait(end, tail)
            if end > found.get(step.job, 0):
                found[step.job] = end
        return found

    def cost(self, starts: Sequence[int]) -> int:
        """Return the sum over jobs of the slot they are ready, and ten times each slot they are late."""
        return self.cost_of(self.ready(starts))

    def cost_of(self, ready: dict[int, int]) -> int:
        """Return what jobs ready at these slots cost."""
        if self.makespan:
            return max(ready.values(), default=0)
        due = self.due
        return sum(
            slot + LATE_WEIGHT * (slot - due[job]) if job in due and slot > due[job] else slot
            for job, slot in ready.items()
        )

    @cached_property
    def least_cost(self) -> int:
        """A bound that no plan can be below: every step as early as its job alone allows."""
        starts: dict[int, int] = {}
        for index in self.in_order:
            pin = self.steps[index].pinned
            starts[index] = self.earliest(index, starts) if pin is None else pin
        return self.cost([starts[index] for index in range(len(self.steps))])

    @cached_property
    def in_order(self) -> list[int]:
        """The steps in an order in which whatever comes before a step is before it."""
        left = [len(links) for links in self.before]
        found = [index for index, n in enumerate(left) if not n]
        for index in found:
            for link in self.following[index]:
                left[link.then] -= 1
                if not left[link.then]:
                    found.append(link.then)
        return found
