"""Working time against calendars counted by hand."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from shop.planning.calendar import Stretch, WorkCalendar

BERLIN = ZoneInfo("Europe/Berlin")
MONDAY = date(2026, 3, 2)


def local(*at: int) -> datetime:
    return datetime(*at, tzinfo=BERLIN)  # type: ignore[arg-type, misc]


def test_a_usual_week_has_forty_hours_and_no_weekend() -> None:
    calendar = WorkCalendar(MONDAY, 7, BERLIN)
    assert len(calendar) == 40 * 4
    assert calendar.start_of(0) == local(2026, 3, 2, 8)
    assert calendar.start_of(16) == local(2026, 3, 2, 13)  # after the break
    assert {calendar.start_of(slot).astimezone(BERLIN).weekday() for slot in range(len(calendar))} == {
        0,
        1,
        2,
        3,
        4,
    }


def test_lacquer_dries_overnight_and_over_the_weekend() -> None:
    calendar = WorkCalendar(MONDAY, 14, BERLIN)
    assert calendar.end_of(32) == local(2026, 3, 2, 17)
    # Off at 17:00 on Monday, 12 h later is 05:00: the first slot on Tuesday.
    assert calendar.start_of(calendar.after_wait(32, 12)) == local(2026, 3, 3, 8)
    # 16 h later is 09:00.
    assert calendar.start_of(calendar.after_wait(32, 16)) == local(2026, 3, 3, 9)
    # Off on Friday at 17:00, 24 h later is Saturday: Monday's first slot.
    assert calendar.start_of(calendar.after_wait(5 * 32, 24)) == local(2026, 3, 9, 8)


def test_a_wait_into_the_break_ends_after_it() -> None:
    calendar = WorkCalendar(MONDAY, 2, BERLIN)
    assert calendar.start_of(calendar.after_wait(14, 1)) == local(2026, 3, 2, 13)


def test_closed_days_are_not_worked() -> None:
    calendar = WorkCalendar(MONDAY, 3, BERLIN, closed=[date(2026, 3, 3)])
    assert calendar.start_of(32) == local(2026, 3, 4, 8)


def test_the_night_when_clocks_go_forward_is_an_hour_shorter() -> None:
    # European summer time 2026 begins on Sunday 29 March (Directive 2000/84/EC: last Sunday of March).
    hours = [Stretch(day, time(8), time(9)) for day in range(7)]
    calendar = WorkCalendar(date(2026, 3, 28), 3, BERLIN, hours)
    assert calendar.end_of(4) == local(2026, 3, 28, 9)
    # 23 h elapsed from 09:00 on Saturday is 09:00 on Sunday, one slot late for that day.
    assert calendar.start_of(calendar.after_wait(4, 22)) == local(2026, 3, 29, 8)
    assert calendar.start_of(calendar.after_wait(4, 23)) == local(2026, 3, 30, 8)
    assert calendar.start_of(4).astimezone(UTC).hour == 6
    assert calendar.start_of(0).astimezone(UTC).hour == 7


def test_work_that_must_not_be_split_finds_the_stretches() -> None:
    calendar = WorkCalendar(MONDAY, 1, BERLIN)
    assert calendar.fits_in_one_stretch(12, 4)
    assert not calendar.fits_in_one_stretch(13, 4)
    assert calendar.longest_stretch() == 16


@given(slot=st.integers(1, 150), wait=st.floats(0.25, 200), more=st.floats(0, 50))
def test_waiting_longer_is_never_over_sooner(slot: int, wait: float, more: float) -> None:
    calendar = WorkCalendar(MONDAY, 7, BERLIN)
    slot = min(slot, len(calendar))
    over = calendar.after_wait(slot, wait)
    assert slot <= over <= calendar.after_wait(slot, wait + more)
    if over < len(calendar):
        assert calendar.start_of(over) - calendar.end_of(slot) >= timedelta(hours=wait)
