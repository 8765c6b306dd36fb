"""The dates of jobs as calendars were last told them: what changed counts on, what is gone is called off."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from shop.jobs.models import Job
from shop.jobs.states import State

from .models import CalendarEntry

CALLED_OFF = frozenset({State.DECLINED, State.CANCELLED})
KEPT_FOR = timedelta(days=30)

Wanted = dict[str, tuple[date, datetime | None]]


def entries_of(job_ids: Iterable[int]) -> list[CalendarEntry]:
    """Return the entries of these jobs, brought up to what the jobs say now.

    A date that changed keeps its UID and gets the next sequence number; one that is gone stays, cancelled,
    so that a calendar that holds it is told. Called twice without a change, it changes nothing.
    """
    wanted_ids = sorted(set(job_ids))
    with transaction.atomic():
        jobs = list(Job.objects.select_for_update().filter(pk__in=wanted_ids).order_by("pk"))
        known = {
            (entry.job_id, entry.what): entry for entry in CalendarEntry.objects.filter(job__in=wanted_ids)
        }
        changed = [entry for job in jobs for entry in _changes(job, known)]
        new = [entry for entry in changed if entry.pk is None]
        CalendarEntry.objects.bulk_create(new, ignore_conflicts=True)
        old = [entry for entry in changed if entry.pk is not None]
        CalendarEntry.objects.bulk_update(old, ["sequence", "day", "starts_at", "cancelled", "changed_at"])
    found = CalendarEntry.objects.filter(job__in=wanted_ids).select_related("job__revision")
    found = found.defer("job__revision__evaluation", "job__revision__terms_text")
    return list(found.order_by("day", "starts_at", "pk"))


def jobs_with_dates(today: date) -> list[int]:
    """Return the keys of all jobs that have, or had, a date from a month ago on."""
    since = today - KEPT_FOR
    begins = timezone.make_aware(datetime.combine(since, datetime.min.time()))
    has = Q(booked_start__gte=begins) | Q(promised_ready_at__gte=begins) | Q(recheck_due_on__gte=since)
    had = Q(pk__in=CalendarEntry.objects.filter(day__gte=since).values("job"))
    return list(Job.objects.filter(has | had).order_by("pk").values_list("pk", flat=True))


def _wanted(job: Job) -> Wanted:
    if job.state in CALLED_OFF:
        return {}
    wanted: Wanted = {}
    if job.booked_start:
        wanted["bring"] = (timezone.localdate(job.booked_start), job.booked_start)
    if job.promised_ready_at:
        wanted["collect"] = (timezone.localdate(job.promised_ready_at), job.promised_ready_at)
    if job.recheck_due_on:
        wanted["recheck"] = (job.recheck_due_on, None)
    return wanted


def _changes(job: Job, known: dict[tuple[int, str], CalendarEntry]) -> list[CalendarEntry]:
    wanted, changed = _wanted(job), []
    for what in CalendarEntry.What.values:
        entry, told = known.get((job.pk, what)), wanted.get(what)
        if entry is None and told:
            changed.append(CalendarEntry(job=job, what=what, day=told[0], starts_at=told[1]))
        elif entry is not None and _moved(entry, told):
            changed.append(entry)
    return changed


def _moved(entry: CalendarEntry, told: tuple[date, datetime | None] | None) -> bool:
    """Bring one entry up to date; whether anything changed."""
    before = (entry.cancelled, entry.day, entry.starts_at)
    entry.cancelled = told is None
    if told:
        entry.day, entry.starts_at = told
    if before == (entry.cancelled, entry.day, entry.starts_at):
        return False
    entry.sequence += 1
    entry.changed_at = timezone.now()
    return True
