"""The workshop's people as the planner wants them: what each can do, and the slots each is at work."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, time

from django.utils import timezone

from .calendar import WorkCalendar
from .models import Absence, Person, PersonHours
from .problem import Person as Worker


def load_crew(calendar: WorkCalendar) -> tuple[Worker, ...]:
    """Return everyone who works here; empty until the workshop has entered its people."""
    people = list(Person.objects.filter(is_active=True))
    if not people:
        return ()
    hours: dict[int, list[PersonHours]] = defaultdict(list)
    for row in PersonHours.objects.filter(person__in=people):
        hours[row.person_id].append(row)
    away: dict[int, list[Absence]] = defaultdict(list)
    for absence in Absence.objects.filter(person__in=people, last_day__gte=_first_day(calendar)):
        away[absence.person_id].append(absence)
    moments = [(local.date(), local.time()) for local in map(timezone.localtime, calendar.starts)]
    return tuple(
        Worker(person.name, _at_work(moments, hours[person.pk], away[person.pk]), frozenset(person.skills))
        for person in people
    )


def people_in_order() -> list[Person]:
    """Return the rows behind ``load_crew``, in its order."""
    return list(Person.objects.filter(is_active=True))


def _first_day(calendar: WorkCalendar) -> date:
    return timezone.localtime(calendar.starts[0]).date() if calendar.starts else timezone.localdate()


def _at_work(moments: list[tuple[date, time]], hours: list[PersonHours], away: list[Absence]) -> int:
    """Return a bit set of the slots; without hours of their own they work whenever it is open."""
    bits = bytearray(len(moments) // 8 + 1)
    for slot, (day, at) in enumerate(moments):
        here = not hours or any(row.weekday == day.weekday() and row.starts <= at < row.ends for row in hours)
        if here and not any(absence.first_day <= day <= absence.last_day for absence in away):
            bits[slot >> 3] |= 1 << (slot & 7)
    return int.from_bytes(bits, "little")
