"""The booked dates as a calendar file (RFC 5545), for any calendar program."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from django.utils.translation import get_language
from django.utils.translation import gettext as _
from icalendar import Alarm, Calendar, Event, vText

from configurator.catalogue import workshop as workshops
from shop.jobs.models import Job
from shop.messages.letters import recheck_words

PRODUCT = "-//Kerbline//Job dates//EN"
SHORTEST = timedelta(minutes=30)


def calendar_file(job: Job, *, link: str, stamp: datetime) -> bytes | None:
    """Return the job's dates as iCalendar, or ``None`` while it has none.

    ``stamp`` is when the file is made. The UIDs stay the same, so that importing a newer file moves
    the dates instead of adding to them; ``SEQUENCE`` counts the job's changes.
    """
    events = [event for event in (_bring(job), _collect(job), _recheck(job)) if event]
    if not events:
        return None
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for event in events:
        _complete(event, job, link, stamp)
        calendar.add_component(event)
    data: bytes = calendar.to_ical()
    return data


def _complete(event: Event, job: Job, link: str, stamp: datetime) -> None:
    event.add("dtstamp", stamp.astimezone(UTC))
    event.add("sequence", job.version)
    event.add("status", "CONFIRMED")
    event.add("class", "PRIVATE")
    event.add("url", link)
    workshop = workshops.current()
    if workshop:
        place = f"{workshop.name}, {workshop.street}, {workshop.postcode} {workshop.town}"
        location = vText(place)
        location.params["LANGUAGE"] = get_language() or "en"
        event.add("location", location)


def _event(job: Job, what: str, summary: str, text: str) -> Event:
    event = Event()
    event.add("uid", f"{job.number}-{what}@kerbline")
    event.add("summary", summary)
    event.add("description", text)
    return event


def _timed(event: Event, start: datetime) -> Event:
    event.add("dtstart", start.astimezone(UTC))
    event.add("dtend", (start + SHORTEST).astimezone(UTC))
    return event


def _bring(job: Job) -> Event | None:
    if not job.booked_start:
        return None
    text = _("Please bring the vehicle clean and empty, with the key of the locking bolts if it has any.")
    event = _event(job, "bring", _("Bring the vehicle: %(number)s") % {"number": job.number}, text)
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", _("Bring the vehicle: %(number)s") % {"number": job.number})
    alarm.add("trigger", timedelta(days=-1))
    event.add_component(alarm)
    return _timed(event, job.booked_start)


def _collect(job: Job) -> Event | None:
    if not job.promised_ready_at:
        return None
    text = _("As planned. We call you when it is ready.")
    event = _event(job, "collect", _("Collect the vehicle: %(number)s") % {"number": job.number}, text)
    return _timed(event, job.promised_ready_at)


def _recheck(job: Job) -> Event | None:
    due: date | None = job.recheck_due_on
    if not due:
        return None
    summary = _("Have the wheel fasteners checked: %(number)s") % {"number": job.number}
    event = _event(job, "recheck", summary, recheck_words())
    event.add("dtstart", due)
    event.add("dtend", due + timedelta(days=1))
    return event
