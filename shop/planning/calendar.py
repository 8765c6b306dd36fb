"""Working time as a line of quarter-hour slots, with the nights and closed days cut out.

Slots count from 0; slot ``s`` is worked from ``start_of(s)``. Hands work in slots; waits run in
elapsed time, so lacquer that is sprayed at five in the afternoon is dry by the next morning.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

SLOT = timedelta(minutes=15)
SLOTS_PER_HOUR = 4


@dataclass(frozen=True)
class Stretch:
    """Working time on one weekday (0 is Monday) without a break, and how many people work in it."""

    weekday: int
    opens: time
    closes: time
    people: int = 2


# Used until the workshop has entered its own hours.
USUAL = tuple(
    Stretch(weekday, time(opens), time(closes))
    for weekday in range(5)
    for opens, closes in ((8, 12), (13, 17))
)


class WorkCalendar:
    """The slots of so many days from a first one; all moments are aware and kept in UTC."""

    def __init__(
        self,
        first_day: date,
        days: int,
        zone: tzinfo,
        stretches: Iterable[Stretch] = USUAL,
        closed: Iterable[date] = (),
    ) -> None:
        by_weekday: dict[int, list[Stretch]] = {}
        for stretch in sorted(stretches, key=lambda each: (each.weekday, each.opens)):
            by_weekday.setdefault(stretch.weekday, []).append(stretch)
        self.starts: list[datetime] = []
        self.days: list[date] = []  # the local day of each slot
        self.people: list[int] = []
        self.block_ends: list[int] = []  # for each slot, the slot at which its stretch is over
        self._over: dict[float, list[int]] = {}
        shut = set(closed)
        for number in range(days):
            day = first_day + timedelta(days=number)
            for stretch in () if day in shut else by_weekday.get(day.weekday(), ()):
                self._add(day, stretch, zone)

    def _add(self, day: date, stretch: Stretch, zone: tzinfo) -> None:
        at = datetime.combine(day, stretch.opens, zone).astimezone(UTC)
        closes = datetime.combine(day, stretch.closes, zone).astimezone(UTC)
        begin = len(self.starts)
        while at + SLOT <= closes:
            self.starts.append(at)
            self.days.append(day)
            self.people.append(stretch.people)
            at += SLOT
        self.block_ends += [len(self.starts)] * (len(self.starts) - begin)

    def __len__(self) -> int:
        return len(self.starts)

    def start_of(self, slot: int) -> datetime:
        """Return when a slot begins."""
        return self.starts[slot]

    def end_of(self, slot: int) -> datetime:
        """Return when the slot before this one is over: when work that ends at ``slot`` ends."""
        return self.starts[slot - 1] + SLOT

    def slot_from(self, moment: datetime) -> int:
        """Return the first slot that begins at or after a moment (``len`` when there is none)."""
        return bisect_left(self.starts, moment)

    def first_slot_from(self, day: date) -> int:
        """Return the first slot on a day or after it (``len`` when there is none)."""
        return bisect_left(self.days, day)

    def first_slot_of(self, day: date) -> int | None:
        """Return the first slot of a day, or None when nobody works on it."""
        slot = self.first_slot_from(day)
        return slot if slot < len(self) and self.days[slot] == day else None

    def after_wait(self, slot: int, wait_h: float) -> int:
        """Return the first slot at or after work that ends at ``slot`` has waited so many hours."""
        if not wait_h or slot <= 0:
            return slot
        if wait_h not in self._over:
            self._over[wait_h] = self._overs(timedelta(hours=wait_h))
        return self._over[wait_h][slot]

    def _overs(self, wait: timedelta) -> list[int]:
        """For work that ends at each slot, the slot by which a wait is over: one walk along the line."""
        found, over, count = [0], 0, len(self.starts)
        for slot, start in enumerate(self.starts, 1):
            ends = start + SLOT + wait
            while over < count and self.starts[over] < ends:
                over += 1
            found.append(max(slot, over))
        return found

    def fits_in_one_stretch(self, slot: int, length: int) -> bool:
        """Return whether so many slots from this one are worked without a closing between."""
        return slot < len(self) and slot + length <= self.block_ends[slot]

    def longest_stretch(self) -> int:
        """Return the longest stretch in slots."""
        begins: Sequence[int] = sorted(set(self.block_ends))
        return max((end - begin for begin, end in zip([0, *begins], begins, strict=False)), default=0)
