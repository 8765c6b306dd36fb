"""What the plan's pages read; a fixed number of queries however long the plan is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Q
from django.utils import timezone

from shop.jobs.access import visible_states
from shop.jobs.models import Job, JobOperation
from shop.jobs.roles import roles_of
from shop.jobs.states import State

from .calendar import USUAL
from .loading import PLANNED
from .models import Absence, ClosedDay, OpeningHours, Person

MOST_DAYS_LOOKED_AT = 400

LONGEST_STEP = timedelta(days=60)
"""Longer than any step with its wait."""


def steps_between(user: Any, first: date, last: date) -> Any:
    """Return the planned steps that touch these days, of jobs this person sees, in time order."""
    zone = timezone.get_current_timezone()
    begin = datetime.combine(first, time(0), zone)
    end = datetime.combine(last + timedelta(days=1), time(0), zone)
    states = [state for state in PLANNED if state in visible_states(roles_of(user))]
    # Their keys first, by the index of days: joined to the jobs' states, all steps of all jobs are read.
    near = JobOperation.objects.filter(planned_start__gte=begin - LONGEST_STEP, planned_start__lt=end)
    keys = list(near.filter(planned_free__gte=begin).order_by().values_list("pk", flat=True))
    return (
        JobOperation.objects.filter(pk__in=keys, job__state__in=states)
        .select_related("job", "job__revision", "job__spec", "bay", "person")
        .order_by("planned_start", "job", "position")
    )


@dataclass
class DayOf:
    """One person's day: their steps in time order, or why they are away."""

    person: Person
    day: date
    steps: list[JobOperation] = field(default_factory=list)
    away: str = ""


def days_of_people(user: Any, days: Iterable[date]) -> list[tuple[Person, list[DayOf]]]:
    """Return for everyone who works here what they are on, day by day."""
    wanted = sorted(days)
    people = list(Person.objects.filter(is_active=True))
    found = {(person.pk, day): DayOf(person, day) for person in people for day in wanted}
    for absence in Absence.objects.filter(
        person__in=people, first_day__lte=wanted[-1], last_day__gte=wanted[0]
    ):
        for day in wanted:
            if absence.first_day <= day <= absence.last_day:
                found[absence.person_id, day].away = absence.why or "–"
    for step in steps_between(user, wanted[0], wanted[-1]):
        for day in _days_worked(step, wanted):
            if (step.person_id, day) in found:
                found[step.person_id, day].steps.append(step)
    return [(person, [found[person.pk, day] for day in wanted]) for person in people]


def _days_worked(step: JobOperation, days: list[date]) -> list[date]:
    """Return on which of these days hands are on a step; waiting does not count."""
    if not step.planned_start or not step.planned_end or step.planned_start == step.planned_end:
        return []
    begin = timezone.localtime(step.planned_start).date()
    end = timezone.localtime(step.planned_end - timedelta(seconds=1)).date()
    return [day for day in days if begin <= day <= end]


def touched_bookings(rows: Any) -> list[str]:
    """Return the numbers of jobs with fixed dates among these operations, the earliest first."""
    in_the_bay = Q(job__state=State.IN_THE_BAY, job__promised_ready_at__isnull=False)
    booked = rows.filter(Q(job__state=State.BOOKED) | in_the_bay, done_at=None)
    numbers = booked.order_by("planned_start")
    return list(dict.fromkeys(numbers.values_list("job__number", flat=True)))


def proposed_days(job: Job) -> list[date]:
    """Return the days that a customer has proposed and nobody has answered yet."""
    wish = job.date_wishes.filter(answer="").first()
    return [date.fromisoformat(day) for day in wish.days] if wish else []


def working_day_after(day: date, days: int) -> date:
    """Return the day so many working days after one, by the workshop's hours and its closed days."""
    rows = {row.weekday for row in OpeningHours.objects.all()} or {stretch.weekday for stretch in USUAL}
    shut = set(ClosedDay.objects.filter(day__gt=day).values_list("day", flat=True))
    for _day in range(MOST_DAYS_LOOKED_AT):
        if days <= 0:
            break
        day += timedelta(days=1)
        if day.weekday() in rows and day not in shut:
            days -= 1
    return day
