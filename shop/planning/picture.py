"""The plan as a picture: a row for each bay, a column for each day, a bar for each step."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from configurator.pages.told import number
from configurator.pages.told_codes import word
from shop.jobs.evaluations import copied
from shop.jobs.models import JobOperation

from .calendar import USUAL, Stretch
from .models import Bay

LEFT, TOP, ROW, DAY = 72, 36, 44, 380


@dataclass(frozen=True)
class Bar:
    """One stretch of a step on one day, in picture units."""

    x: float
    y: float
    width: float
    height: float
    step: JobOperation
    is_wait: bool = False
    steps: tuple[JobOperation, ...] = ()

    @property
    def label(self) -> str:
        """What fits into the bar."""
        number = self.step.job.number.rpartition("-")[2].lstrip("0")
        room = int((self.width - 8) / 7)
        text = " ".join(
            [_short_name(self.step), *dict.fromkeys(word("stage", step.stage) for step in self.steps)]
        )
        if room < len(number):
            return ""
        registration = self.step.job.revision.registration
        if len(text) > room and len(registration) <= room:
            text = registration if room < len(registration) + 4 else f"{text[: room - 1]}…"
        return text if text and len(text) <= room else number

    @property
    def is_critical(self) -> bool:
        """Whether any of its steps decides the job's date."""
        return any(step.is_critical for step in self.steps)

    @property
    def title(self) -> str:
        """What is told of it in full."""
        about = " · ".join(part for part in whose(self.step) if part)
        return f"{about}: {'; '.join(_told(step) for step in self.steps)}"


def whose(step: JobOperation) -> tuple[str, str, str, str]:
    """Return job number, customer, registration and what the customer calls the build."""
    job = step.job
    return job.number, job.revision.name, job.revision.registration, job.spec.name


def _short_name(step: JobOperation) -> str:
    _number, name, registration, _build = whose(step)
    return " ".join(part for part in (registration, name.rpartition(" ")[2]) if part) or step.job.number


def _told(step: JobOperation) -> str:
    start, end = (timezone.localtime(at) for at in (step.planned_start, step.planned_end) if at)
    figures = {
        "start": date_format(start, "D H:i"),
        "end": date_format(end, "H:i"),
        "step": ", ".join(str(one) for one in (copied(step.job, step.name), step.person) if one),
        "hours": number(step.wait_h),
    }
    if step.wait_h:
        return _("%(start)s to %(end)s: %(step)s, then waits %(hours)s h") % figures
    return _("%(start)s to %(end)s: %(step)s") % figures


@dataclass
class Picture:
    """Everything a template needs to draw it."""

    days: list[tuple[float, date]]
    hours: list[tuple[float, int]]
    rows: list[tuple[float, Bay]]
    bars: list[Bar] = field(default_factory=list)
    closed: list[tuple[float, float]] = field(default_factory=list)
    now_x: float | None = None

    @property
    def width(self) -> int:
        """Width in picture units."""
        return LEFT + DAY * len(self.days) + 8

    @property
    def height(self) -> int:
        """Height in picture units."""
        return TOP + ROW * len(self.rows) + 8

    left, top, row, day = LEFT, TOP, ROW, DAY


class Scale:
    """Where a moment lies: days side by side, each from opening to closing; nights have no width."""

    def __init__(self, days: list[date], stretches: Iterable[Stretch]) -> None:
        rows = list(stretches)
        self.days = days
        self.opens = min((row.opens for row in rows), default=time(8))
        self.closes = max((row.closes for row in rows), default=time(17))
        self.span = (_minutes(self.closes) - _minutes(self.opens)) or 1

    def x(self, moment: datetime) -> float:
        """Return the place of a moment, pressed into the shown days and hours."""
        local = timezone.localtime(moment)
        if local.date() < self.days[0]:
            return LEFT
        if local.date() > self.days[-1]:
            return LEFT + DAY * len(self.days)
        number = sum(day < local.date() for day in self.days)
        if local.date() not in self.days:
            return LEFT + DAY * number
        part = (_minutes(local.time()) - _minutes(self.opens)) / self.span
        return LEFT + DAY * (number + min(1.0, max(0.0, part)))


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute


def picture(
    steps: Iterable[JobOperation],
    bays: list[Bay],
    days: list[date],
    stretches: Iterable[Stretch] = USUAL,
    now: datetime | None = None,
) -> Picture:
    """Return the picture of these steps over these working days."""
    scale = Scale(days, stretches)
    rows = [(TOP + ROW * number, bay) for number, bay in enumerate(bays)]
    found = Picture(
        days=[(LEFT + DAY * number, day) for number, day in enumerate(days)],
        hours=[],
        rows=[(y, bay) for y, bay in rows],
    )
    top = {bay.pk: y for y, bay in rows}
    for group in runs(step for step in steps if step.bay_id in top and not step.done_at):
        found.bars += _bars(group, top[group[0].bay_id or 0], scale)
    if now and days and days[0] <= timezone.localtime(now).date() <= days[-1]:
        found.now_x = scale.x(now)
    return found


def runs(steps: Iterable[JobOperation]) -> list[tuple[JobOperation, ...]]:
    """Return steps of one job that follow each other in one bay without a gap, together."""
    open_runs: dict[tuple[int, int | None], list[JobOperation]] = {}
    found = []
    for step in sorted(steps, key=lambda each: (each.planned_start, each.pk)):
        key = (step.job_id, step.bay_id)
        run = open_runs.get(key)
        if run and run[-1].planned_end == step.planned_start:
            run.append(step)
        else:
            open_runs[key] = [step]
            found.append(open_runs[key])
    return [tuple(run) for run in found]


def _bars(run: tuple[JobOperation, ...], y: float, scale: Scale) -> list[Bar]:
    """One bar for the hands, and a thin one below for each wait after them."""
    first, last = run[0], run[-1]
    if first.planned_start is None or last.planned_end is None:
        return []
    bars = []
    begin, end = scale.x(first.planned_start), scale.x(last.planned_end)
    if end > begin:
        bars.append(Bar(begin + 1, y + 6, end - begin - 2, 24, first, steps=run))
    for step in run:
        if step.planned_end and step.planned_free and step.planned_free > step.planned_end:
            at, over = scale.x(step.planned_end), scale.x(step.planned_free)
            if over > at:
                bars.append(Bar(at, y + 33, over - at, 5, step, is_wait=True, steps=(step,)))
    return bars


def working_days(first: date, count: int, stretches: Iterable[Stretch], closed: set[date]) -> list[date]:
    """Return so many working days from a first one on; closed days are left out."""
    weekdays = {row.weekday for row in stretches}
    days: list[date] = []
    day = first
    while len(days) < count and day < first + timedelta(days=count * 4 + 60):
        if day.weekday() in weekdays and day not in closed:
            days.append(day)
        day += timedelta(days=1)
    return days
