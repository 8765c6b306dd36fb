"""The calendar file, read back by an independent parser and held against RFC 5545."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from icalendar import Calendar

from shop.jobs.states import State
from shop.models import Job
from tests.shop import factories

pytestmark = pytest.mark.django_db
START = datetime(2027, 3, 1, 7, 30, tzinfo=UTC)


def booked(**changes: Any) -> Job:
    """Return a job with dates."""
    dates = {"booked_start": START, "promised_ready_at": START + timedelta(days=3)}
    return factories.job(state=State.BOOKED, **(dates | changes))


def fetched(client: Client, job: Job) -> tuple[Any, Calendar]:
    """Return the answer and what it holds."""
    answer = client.get(f"/job/{job.token}/dates.ics")
    assert answer.status_code == 200
    return answer, Calendar.from_ical(answer.content)


def test_the_file_has_what_the_standard_requires(client: Client, workshop: Any) -> None:
    """RFC 5545, 3.6: PRODID and VERSION once; 3.6.1: UID and DTSTAMP once in each VEVENT, DTSTART once
    where there is no METHOD or, by 3.6.1, always in a published event; 3.6.6: ACTION, TRIGGER and, for
    DISPLAY, DESCRIPTION in each VALARM."""
    answer, calendar = fetched(client, booked())

    assert answer["Content-Type"].startswith("text/calendar")
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    events = calendar.walk("VEVENT")
    assert len(events) == 2
    for event in events:
        for name in ("UID", "DTSTAMP", "DTSTART", "SUMMARY"):
            assert not isinstance(event[name], list), name
        assert event.decoded("DTSTAMP").utcoffset() == timedelta(0)
        assert event.decoded("DTEND") > event.decoded("DTSTART")
    (alarm,) = calendar.walk("VALARM")
    assert alarm["ACTION"] == "DISPLAY"
    assert alarm.decoded("TRIGGER") == timedelta(days=-1)
    assert alarm["DESCRIPTION"]
    assert not calendar.walk("VTIMEZONE")  # times are UTC, so none is needed


def test_lines_end_and_fold_as_the_standard_says(client: Client, workshop: Any) -> None:
    """RFC 5545, 3.1: lines end with CRLF and hold at most 75 octets without it."""
    raw = client.get(f"/job/{booked().token}/dates.ics").content
    assert raw.endswith(b"\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert max(len(line) for line in raw.split(b"\r\n")) <= 75


def test_the_dates_are_those_of_the_job_and_the_ids_stay(client: Client) -> None:
    job = booked()
    _answer, first = fetched(client, job)
    bring, collect = first.walk("VEVENT")
    assert bring.decoded("DTSTART") == START
    assert collect.decoded("DTSTART") == START + timedelta(days=3)

    job.booked_start = START + timedelta(days=1)
    job.version += 1
    job.save()
    _answer, second = fetched(client, job)
    moved = second.walk("VEVENT")[0]
    assert moved["UID"] == bring["UID"]
    assert moved.decoded("DTSTART") == START + timedelta(days=1)
    assert moved["SEQUENCE"] > bring["SEQUENCE"]
    assert bring["UID"] != collect["UID"]


def test_the_recheck_is_a_whole_day(client: Client) -> None:
    """RFC 5545, 3.6.1: an event of whole days has DTSTART as DATE and ends before DTEND."""
    job = booked(recheck_due_on=date(2027, 3, 12))
    recheck = fetched(client, job)[1].walk("VEVENT")[2]
    assert recheck.decoded("DTSTART") == date(2027, 3, 12)
    assert recheck.decoded("DTEND") == date(2027, 3, 13)
    assert "50 to 100 km" in recheck["DESCRIPTION"]


def test_without_dates_there_is_no_file(client: Client) -> None:
    assert client.get(f"/job/{factories.job().token}/dates.ics").status_code == 404
