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


def test_stretches_are_lined_up_by_time_and_a_quarter_begun_is_not_worked() -> None:
    hours = [
        Stretch(1, time(8), time(8, 50), 3),
        Stretch(0, time(13), time(14), 1),
        Stretch(0, time(8), time(8, 30)),
    ]
    calendar = WorkCalendar(MONDAY, 2, BERLIN, hours)
    starts = [f"{calendar.start_of(slot).astimezone(BERLIN):%d %H:%M}" for slot in range(len(calendar))]
    assert starts == [
        "02 08:00", "02 08:15",
        "02 13:00", "02 13:15", "02 13:30", "02 13:45",
        "03 08:00", "03 08:15", "03 08:30",
    ]  # fmt: skip
    assert calendar.people == [2, 2, 1, 1, 1, 1, 3, 3, 3]
    assert calendar.days == [MONDAY] * 6 + [date(2026, 3, 3)] * 3
    assert calendar.block_ends == [2, 2, 6, 6, 6, 6, 9, 9, 9]
    assert calendar.longest_stretch() == 4
    assert {moment.utcoffset() for moment in calendar.starts} == {timedelta(0)}


def test_the_slot_of_a_moment_and_of_a_day() -> None:
    calendar = WorkCalendar(MONDAY, 9, BERLIN, closed=[date(2026, 3, 4)])
    assert calendar.slot_from(local(2026, 3, 2, 8)) == 0
    assert calendar.slot_from(local(2026, 3, 2, 8, 1)) == 1
    assert calendar.slot_from(local(2026, 3, 2, 12)) == 16
    assert calendar.slot_from(local(2026, 4, 1)) == len(calendar)
    assert calendar.first_slot_from(MONDAY) == 0
    assert calendar.first_slot_from(date(2026, 3, 4)) == 64 == calendar.first_slot_of(date(2026, 3, 5))
    assert calendar.first_slot_of(MONDAY) == 0
    # A closed day, a weekend, and a day after the last.
    days = (date(2026, 3, 4), date(2026, 3, 7), date(2026, 3, 11))
    assert [calendar.first_slot_of(day) for day in days] == [None, None, None]
    assert calendar.first_slot_from(date(2026, 3, 11)) == len(calendar) == 6 * 32


def test_unbroken_work_may_end_with_its_stretch_and_not_begin_after_the_last() -> None:
    calendar = WorkCalendar(MONDAY, 1, BERLIN)
    found = [calendar.fits_in_one_stretch(slot, 16) for slot in (0, 1, 16, 17, 32)]
    assert found == [True, False, True, False, False]
    assert not calendar.fits_in_one_stretch(31, 2)
    assert calendar.fits_in_one_stretch(31, 1)
    assert WorkCalendar(MONDAY, 0, BERLIN).longest_stretch() == 0


def test_a_wait_is_over_with_the_first_slot_that_is_not_too_early() -> None:
    calendar = WorkCalendar(MONDAY, 2, BERLIN)
    assert calendar.after_wait(4, 0.0) == 4
    assert calendar.after_wait(0, 12.0) == 0  # nothing has been worked that could wait
    assert calendar.after_wait(4, 0.25) == 5
    assert calendar.after_wait(4, 0.3) == 6
    assert calendar.after_wait(16, 1.0) == 16  # the break is the wait
    assert calendar.after_wait(16, 1.25) == 17
    assert calendar.after_wait(64, 1.0) == len(calendar) == 64
