"""The whole workshop's dates in one's own calendar, and each date's life, read by two libraries.

icalendar writes the files; vobject shares no code with it and reads them here as another program would.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
import vobject
from django.test import Client
from django.utils.translation import override
from icalendar import Calendar

from shop.jobs.states import State
from shop.models import CalendarAddress, CalendarEntry, Job
from tests.shop import factories

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 2, 20, 9, 0, tzinfo=UTC)
START = datetime(2027, 3, 1, 7, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _clock() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


def booked(**changes: Any) -> Job:
    dates = {"booked_start": START, "promised_ready_at": START + timedelta(days=3)}
    return factories.job(state=State.BOOKED, **(dates | changes))


def address(client: Client, *roles: str) -> str:
    """Make a private address as a person does; return its path."""
    client.force_login(factories.staff(*(roles or ("technician",))))
    client.post("/workshop/calendar/new/")
    page = client.get("/workshop/calendar/").content.decode()
    found = re.search(r'value="https?://[^/]+(/calendar/[\w-]{32,}\.ics)"', page)
    assert found
    return found[1]


def read(path: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the file's events by UID, as each of the two libraries reads them."""
    answer = Client().get(path)
    assert answer.status_code == 200
    ours = {str(event["UID"]): event for event in Calendar.from_ical(answer.content).walk("VEVENT")}
    theirs = vobject.readOne(answer.content.decode())
    others = {event.uid.value: event for event in getattr(theirs, "vevent_list", [])}
    assert ours.keys() == others.keys()
    return ours, others


def test_both_libraries_read_the_same_dates(client: Client) -> None:
    factories.make_workshop()
    job = booked(recheck_due_on=date(2027, 3, 12))
    path = address(client)
    ours, others = read(path)
    assert len(ours) == 3
    for uid, event in ours.items():
        other = others[uid]
        assert event.decoded("DTSTART") == other.dtstart.value
        assert event.decoded("DTEND") == other.dtend.value
        assert str(event["SUMMARY"]) == other.summary.value
        assert job.number in other.summary.value
        assert int(event["SEQUENCE"]) == int(other.sequence.value) == 0
        assert other.status.value == "CONFIRMED"
        # RFC 5546, 3.2.1: ORGANIZER is required in what is published.
        assert str(event["ORGANIZER"]) == other.organizer.value == "mailto:desk@workshop.example"
        assert other.organizer.params["CN"] == ["Dull Workshop"]
    starts = {event.dtstart.value for event in others.values()}
    assert starts == {START, START + timedelta(days=3), date(2027, 3, 12)}


@pytest.mark.long
def test_a_date_keeps_its_identity_through_move_cancel_and_booking_again(client: Client) -> None:
    """RFC 5545, 3.8.7.4: SEQUENCE grows with each change; 3.8.1.11: CANCELLED."""
    job, path = booked(), address(client)
    first = {uid: event for uid, event in read(path)[1].items() if event.dtstart.value == START}
    (uid,) = first
    lives = []
    for start, ready in [
        (START + timedelta(days=1), job.promised_ready_at),
        (None, None),
        (START + timedelta(days=5), START + timedelta(days=9)),
    ]:
        Job.objects.filter(pk=job.pk).update(booked_start=start, promised_ready_at=ready)
        event = read(path)[1][uid]
        read(path)  # looking again is no change
        lives.append((int(event.sequence.value), event.status.value, event.dtstart.value))
    day = timedelta(days=1)
    assert lives == [
        (1, "CONFIRMED", START + day),
        (2, "CANCELLED", START + day),
        (3, "CONFIRMED", START + 5 * day),
    ]


def test_a_job_called_off_is_struck_out_in_the_customers_file_too() -> None:
    job = booked()
    assert "CONFIRMED" in Client().get(f"/job/{job.token}/dates.ics").content.decode()
    Job.objects.filter(pk=job.pk).update(state=State.CANCELLED)
    told = Calendar.from_ical(Client().get(f"/job/{job.token}/dates.ics").content)
    assert [str(event["STATUS"]) for event in told.walk("VEVENT")] == ["CANCELLED", "CANCELLED"]
    assert not told.walk("VALARM")  # nobody is reminded to bring it


def test_the_customer_and_the_workshop_have_the_same_identity(client: Client) -> None:
    job, path = booked(), address(client)
    theirs = Calendar.from_ical(Client().get(f"/job/{job.token}/dates.ics").content)
    assert {str(event["UID"]) for event in theirs.walk("VEVENT")} == read(path)[0].keys()


def test_no_two_jobs_share_an_identity(client: Client) -> None:
    booked(), booked()
    assert len(read(address(client))[0]) == 4


def test_the_file_says_nothing_of_the_customer(client: Client) -> None:
    job = booked()
    text = Client().get(address(client)).content.decode().replace("\r\n ", "")
    for secret in (job.revision.name, job.revision.email, job.token):
        assert secret not in text
    assert f"/workshop/jobs/{job.number}/" in text


def test_an_address_is_one_persons_and_can_be_taken_back(client: Client) -> None:
    path = address(client)
    assert Client().get(path).status_code == 200
    client.post("/workshop/calendar/new/")
    assert Client().get(path).status_code == 404  # replaced
    newer = CalendarAddress.objects.get()
    client.post("/workshop/calendar/end/")
    assert Client().get(f"/calendar/{newer.token}.ics").status_code == 404
    assert Client().get("/calendar/" + "x" * 43 + ".ics").status_code == 404


@pytest.mark.parametrize("left", ["shut off", "no role"])
def test_who_works_here_no_longer_reads_no_longer(client: Client, left: str) -> None:
    path = address(client)
    user = CalendarAddress.objects.get().user
    if left == "shut off":
        user.is_active = False
        user.save()
    else:
        user.groups.clear()
    assert Client().get(path).status_code == 404


def test_only_staff_have_the_page_and_only_a_pressing_makes_an_address(client: Client) -> None:
    assert client.get("/workshop/calendar/").status_code == 302
    client.force_login(factories.staff("buyer"))
    assert client.get("/workshop/calendar/new/").status_code == 405
    assert client.get("/workshop/calendar/").status_code == 200
    assert not CalendarAddress.objects.exists()


def test_the_file_is_in_the_language_the_address_was_made_in(client: Client) -> None:
    booked()
    client.cookies["django_language"] = "de"
    path = address(client)
    with override("en-gb"):
        assert all(str(event["SUMMARY"]).startswith(("Kommt", "Fertig")) for event in read(path)[0].values())
    assert "Ihr Kalender" in client.get("/workshop/calendar/").content.decode()


def test_what_is_long_past_is_not_sent_for_ever(client: Client) -> None:
    path = address(client)
    booked(booked_start=NOW - timedelta(days=60), promised_ready_at=NOW - timedelta(days=55))
    assert not read(path)[0]


@pytest.mark.long
def test_many_jobs_take_no_more_queries_than_few(client: Client, django_assert_max_num_queries: Any) -> None:
    path = address(client)
    for _ in range(12):
        booked()
    with django_assert_max_num_queries(16):
        assert len(read(path)[0]) == 24
    assert CalendarEntry.objects.count() == 24
