"""Fixing a job's dates: chosen from what is free, seen before anyone is told, moved, and taken back.

Each is one transaction with the job locked first and the bays after it. The customer is mailed only where
``tell`` says so.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from shop.jobs.errors import StaleError, UnmetError, WrongStateError
from shop.jobs.models import Job, JobOperation
from shop.jobs.roles import By, actor
from shop.jobs.said import say
from shop.jobs.service import (
    book,
    check_role,
    check_version,
    locked,
    promise_mail,
    record,
    unbook,
)
from shop.jobs.states import BEFORE_THE_BAY, MANAGER, REVIEWER, State

from .calendar import WorkCalendar
from .crew import people_in_order
from .dates import Estimate, first_day_offered, on_day
from .loading import PLANNED
from .models import Bay, DateWish
from .promises import PLANNED_ANEW, Settled, settle_of_job
from .storing import changed_rows, planned_fields
from .wishes import ask_for_plan

BOOKERS = frozenset({REVIEWER, MANAGER})
TO_BOOK = (State.PARTS_IN, State.BOOKED)
FURTHEST_WISH = timedelta(days=2 * 365)
"""Nobody plans a day beyond: its year is mistyped."""


def fix_dates(
    *, job_id: int, day: date, by: By, tell: bool, version: int | None = None, short_notice: bool = False,
    now: datetime | None = None,
) -> bool:  # fmt: skip
    """Have the job begin on a day: its steps get free times, the dates are fixed, the customer told or not.

    ``short_notice`` allows a day before the workshop's minimum notice (the customer has agreed to it).
    Returns False when exactly these dates are fixed already. Raises UnmetError with field ``day``.
    """
    who, now = actor(by), now or timezone.now()
    check_role(who, BOOKERS, _("Fixing dates"))
    with transaction.atomic():
        job = locked(job_id)
        if job.state not in TO_BOOK:
            raise WrongStateError(_("Dates are fixed once the parts are in and until the work begins."))
        check_version(job, version)
        if day < first_day_offered(now) and not short_notice:
            raise UnmetError(_("That is shorter notice than the workshop gives."), field="day")
        before = (job.booked_start, job.promised_ready_at)
        if before[0] and timezone.localtime(before[0]).date() == day and not job.broken_promises.filter(
            settled=""
        ).exists():  # fmt: skip
            return False
        _place(job, day, now)
        _fix(job, who, tell=tell, was=before)
        settle_of_job(job, Settled.REBOOKED, who.user)
        DateWish.objects.filter(job=job, answer="").update(answer="taken", answered_at=now)
        ask_for_plan()
    return True


def _place(job: Job, day: date, now: datetime) -> Estimate:
    """Give the job's steps free times from that day on; nothing else moves."""
    bays = [bay for bay in Bay.objects.select_for_update().order_by("position", "pk") if bay.is_open]
    found = on_day(job, now, day)
    if found is None:
        raise UnmetError(_("There is no room to begin on that day. Choose another."), field="day")
    gaps, plan, estimate = found
    taken = _taken(job, now, gaps.problem.calendar)
    rows = changed_rows(gaps.loaded, plan, bays, people_in_order(), taken=taken)
    JobOperation.objects.bulk_update(rows, planned_fields())
    return estimate


def _taken(job: Job, now: datetime, calendar: WorkCalendar) -> dict[int, list[tuple[int, int]]]:
    """Return by bay the slots that other work holds. Where the room of a kind is split up between bays so
    that no single one is free, the step has none until the next plan sorts them."""
    rows = JobOperation.objects.filter(
        job__state__in=PLANNED, done_at=None, planned_end__gt=now, bay__isnull=False
    ).exclude(job=job)
    found: dict[int, list[tuple[int, int]]] = {}
    for bay, start, end in rows.values_list("bay_id", "planned_start", "planned_end"):
        if not (start and end and bay):  # the filter asked for all; this tells the types
            continue
        found.setdefault(bay, []).append((calendar.slot_from(start), calendar.slot_from(end)))
    return found


def _fix(job: Job, who: By, *, tell: bool, was: tuple[datetime | None, datetime | None]) -> None:
    """Book, or move what is booked; the history has both dates."""
    if job.state == State.PARTS_IN:
        book(job_id=job.pk, by=who, tell=tell)
        return
    steps = job.operations.filter(done_at=None).exclude(planned_start=None)
    job.booked_start = min(step.planned_start for step in steps if step.planned_start)
    job.promised_ready_at = max(step.planned_free for step in steps if step.planned_free)
    job.version += 1
    job.save(update_fields=["booked_start", "promised_ready_at", "version"])
    entry = record(
        job,
        actor(who),
        "job.dates_moved",
        said=None if tell else say("not_mailed"),
        before=[each.isoformat() if each else "" for each in was],
        after=[job.booked_start.isoformat(), job.promised_ready_at.isoformat()],
    )
    if tell:
        promise_mail(job, "dates_moved", entry.pk)


def keep_planned(
    *, job_id: int, by: By, tell: bool, now: datetime | None = None, seen: str | None = None
) -> bool:
    """Take the dates that the plan has now as the fixed ones, after a promise could not be kept.

    ``seen`` is the mark of the broken promise that was looked at: other dates are looked at first.
    """
    who = actor(by)
    check_role(who, BOOKERS, _("Fixing dates"))
    with transaction.atomic():
        job = locked(job_id)
        broken = job.broken_promises.filter(settled="").first()
        if broken is None:
            return False
        if seen not in (None, broken.mark):
            raise StaleError(PLANNED_ANEW)
        if job.operations.filter(planned_start=None, done_at=None).exists():
            raise UnmetError(_("The plan has no times for it. Choose a day, or make room."), field="day")
        if job.state == State.BOOKED:
            _fix(job, who, tell=tell, was=(job.booked_start, job.promised_ready_at))
        else:
            _later(job, who, tell=tell)
        settle_of_job(job, Settled.REBOOKED, who.user)
        ask_for_plan()
    return True


def _later(job: Job, who: By, *, tell: bool) -> None:
    """A vehicle in the bay is ready later than promised."""
    was = job.promised_ready_at
    free = [step.planned_free for step in job.operations.filter(done_at=None) if step.planned_free]
    job.promised_ready_at = max(free, default=was)
    job.version += 1
    job.save(update_fields=["promised_ready_at", "version"])
    after = job.promised_ready_at.isoformat() if job.promised_ready_at else ""
    entry = record(job, actor(who), "job.dates_moved", before=was.isoformat() if was else "", after=after)
    if tell:
        promise_mail(job, "dates_moved", entry.pk)


def take_back(*, job_id: int, by: By, why: str, tell: bool, version: int | None = None) -> bool:
    """Take fixed dates back: the job waits for a day again. A reason is needed; it is mailed if ``tell``."""
    who = actor(by)
    check_role(who, BOOKERS, _("Taking dates back"))
    with transaction.atomic():
        job = locked(job_id)
        done = unbook(job_id=job_id, by=who, why=why, tell=tell, version=version)
        if done:
            settle_of_job(job, Settled.ENDED, who.user)
            ask_for_plan()
    return done


def wish_for_days(*, job_id: int, days: list[date], note: str, now: datetime | None = None) -> DateWish:
    """Note the days on which the customer would rather come; a newer wish takes the place of an open one.

    It may come with the build itself: whoever fixes the dates, once the parts are in, reads it then.
    """
    now = now or timezone.now()
    with transaction.atomic():
        job = locked(job_id)
        if job.state not in BEFORE_THE_BAY:
            raise WrongStateError(_("Days can be proposed until the work begins."))
        known = sorted(set(days), key=days.index)[:3]
        if not known:
            raise UnmetError(_("Name at least one day."), field="days")
        _check_wished(known, now)
        wish = DateWish.objects.filter(job=job, answer="").first() or DateWish(job=job)
        wish.days, wish.note, wish.made_at = [day.isoformat() for day in known], note.strip()[:500], now
        wish.save()
        record(job, actor("customer"), "job.days_proposed", why=note.strip(), days=wish.days)
    return wish


def _check_wished(days: list[date], now: datetime) -> None:
    first = first_day_offered(now)
    if any(day < first for day in days):
        raise UnmetError(
            _("The first day we can offer is %(day)s.") % {"day": date_format(first)}, field="days"
        )
    last = timezone.localdate(now) + FURTHEST_WISH
    if any(day > last for day in days):
        raise UnmetError(_("Name days until %(day)s.") % {"day": date_format(last)}, field="days")


def say_no(*, wish_id: int, by: By, why: str, seen: str | None = None) -> bool:
    """Answer that none of the proposed days is possible; the customer is mailed the reason.

    ``seen`` is the mark of the wish that was looked at: other days are looked at first.
    """
    who = actor(by)
    check_role(who, BOOKERS, _("Answering a proposal"))
    if not why.strip():
        raise UnmetError(_("Say why, and what is possible."), field="why")
    with transaction.atomic():
        wish = DateWish.objects.select_for_update().get(pk=wish_id)
        if wish.answer:
            return False
        if seen not in (None, wish.mark):
            raise StaleError(_("The customer proposes other days by now. Look at them, then answer."))
        wish.answer, wish.answered_at = "no", timezone.now()
        wish.save(update_fields=["answer", "answered_at"])
        job = locked(wish.job_id)
        promise_mail(job, "days_not_possible", record(job, who, "job.days_declined", why=why.strip()).pk)
    return True
