"""Dates as calendar files (RFC 5545, published as RFC 5546 says), for any calendar program."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from django.conf import settings
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from icalendar import Alarm, Calendar, Event, vCalAddress, vDuration, vText

from configurator.catalogue import workshop as workshops
from configurator.catalogue.models import Generation, Workshop
from shop.jobs.models import Job
from shop.messages.letters import recheck_words

from .calendar_entries import entries_of
from .models import CalendarEntry

PRODUCT = "-//Kerbline//Job dates//EN"
SHORTEST = timedelta(minutes=30)
READ_AGAIN = timedelta(hours=1)


def calendar_file(job: Job, *, link: str, stamp: datetime) -> bytes | None:
    """Return a customer's dates as iCalendar, or ``None`` when there never were any.

    ``stamp`` is when the file is made. UIDs stay for ever, ``SEQUENCE`` counts the changes of each date,
    and a date taken back is there as cancelled: a newer file moves or strikes out, and never adds twice.
    """
    entries = entries_of([job.pk])
    if not entries:
        return None
    events = [_complete(_for_customer(entry), entry, link, stamp) for entry in entries]
    return _calendar(events, "")


def workshop_file(job_ids: Iterable[int], *, stamp: datetime) -> bytes:
    """Return the dates of these jobs for staff, without names or telephone numbers of customers.

    The file goes to whatever calendar service a person uses, so what it says of a customer is the job's
    number and vehicle; the rest is behind the link and the sign-in.
    """
    workshop = workshops.current()
    name = _("%(workshop)s: jobs") % {"workshop": workshop.name if workshop else "Kerbline"}
    vehicles = {generation.code: str(generation) for generation in Generation.objects.select_related("maker")}
    events = [
        _complete(_for_staff(entry, vehicles), entry, _staff_link(entry), stamp)
        for entry in entries_of(job_ids)
    ]
    return _calendar(events, name)


def _calendar(events: Iterable[Event], name: str) -> bytes:
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    if name:
        calendar.add("name", name)  # RFC 7986, 5.1
        calendar.add("refresh-interval", vDuration(READ_AGAIN), {"VALUE": "DURATION"})  # RFC 7986, 5.7
    workshop = workshops.current()
    for event in events:
        if workshop:
            _sign(event, workshop)
        calendar.add_component(event)
    data: bytes = calendar.to_ical()
    return data


def _complete(event: Event, entry: CalendarEntry, link: str, stamp: datetime) -> Event:
    event.add("uid", entry.uid)
    event.add("dtstamp", stamp.astimezone(UTC))
    event.add("last-modified", entry.changed_at.astimezone(UTC))
    event.add("sequence", entry.sequence)
    event.add("status", "CANCELLED" if entry.cancelled else "CONFIRMED")
    event.add("class", "PRIVATE")
    event.add("url", link)
    if entry.starts_at:
        event.add("dtstart", entry.starts_at.astimezone(UTC))
        event.add("dtend", (entry.starts_at + SHORTEST).astimezone(UTC))
    else:
        event.add("dtstart", entry.day)
        event.add("dtend", entry.day + timedelta(days=1))
    return event


def _sign(event: Event, workshop: Workshop) -> None:
    """Say where, and who gives the dates out: RFC 5546, 3.2.1 asks for the organizer."""
    location = vText(f"{workshop.name}, {workshop.street}, {workshop.postcode} {workshop.town}")
    location.params["LANGUAGE"] = get_language() or "en"
    event.add("location", location)
    organizer = vCalAddress(f"mailto:{workshop.email}")
    organizer.params["CN"] = vText(workshop.name)
    event["organizer"] = organizer


def _event(summary: str, text: str) -> Event:
    event = Event()
    event.add("summary", summary)
    event.add("description", text)
    return event


def _for_customer(entry: CalendarEntry) -> Event:
    told = {"number": entry.job.number}
    if entry.what == "recheck":
        return _event(_("Have the wheel fasteners checked: %(number)s") % told, recheck_words())
    if entry.what == "collect":
        text = _("As planned. We call you when it is ready.")
        return _event(_("Collect the vehicle: %(number)s") % told, text)
    summary = _("Bring the vehicle: %(number)s") % told
    text = _("Please bring the vehicle clean and empty, with the key of the locking bolts if it has any.")
    event = _event(summary, text)
    if not entry.cancelled:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", summary)
        alarm.add("trigger", timedelta(days=-1))
        event.add_component(alarm)
    return event


def _for_staff(entry: CalendarEntry, vehicles: dict[str, str]) -> Event:
    # A vehicle that the catalogue no longer has goes by the job's number alone.
    vehicle = vehicles.get(entry.job.revision.selection.get("generation", ""), "")
    told = {"job": ", ".join(filter(None, (entry.job.number, vehicle)))}
    summary = {
        "bring": _("Comes in: %(job)s"),
        "collect": _("Promised ready: %(job)s"),
        "recheck": _("Wheel fasteners checked by today: %(job)s"),
    }[entry.what]
    return _event(summary % told, _("The job: %(link)s") % {"link": _staff_link(entry)})


def _staff_link(entry: CalendarEntry) -> str:
    return settings.SITE_URL.rstrip("/") + reverse("shop:job", args=[entry.job.number])
