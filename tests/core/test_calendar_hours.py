from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from app.core.calendar_hours import Downtime, OpenHours, Shift
from app.core.worktime import Span
from tests.core.shops import hours_of

CHICAGO = ZoneInfo("America/Chicago")
CST, CDT = timezone(timedelta(hours=-6)), timezone(timedelta(hours=-5))
MONDAY = date(2026, 1, 5)


def utc(month, day, hour, minute=0):
    return int(datetime(2026, month, day, hour, minute, tzinfo=UTC).timestamp())


def shift_of(day, start, end):
    span = Shift(day.weekday(), time.fromisoformat(start), time.fromisoformat(end)).on(day, CHICAGO)
    return datetime.fromtimestamp(span.start, UTC), datetime.fromtimestamp(span.end, UTC)


def test_a_shift_whose_end_is_not_after_its_start_ends_the_next_day():
    assert hours_of(("22:00", "06:00"), days=[0]).open_spans(MONDAY, 7) == [Span(utc(1, 5, 22), utc(1, 6, 6))]
    assert hours_of(("00:00", "00:00"), days=[0]).open_spans(MONDAY, 7) == [Span(utc(1, 5, 0), utc(1, 6, 0))]


def test_the_last_shift_of_the_day_before_reaches_into_the_first_day():
    assert hours_of(("22:00", "06:00"), days=[6]).open_spans(MONDAY, 1) == [Span(utc(1, 5, 0), utc(1, 5, 6))]


def test_overlapping_shifts_count_once():
    hours = hours_of(("06:00", "14:00"), ("13:00", "18:00"), days=[0])
    assert hours.open_spans(MONDAY, 1) == [Span(utc(1, 5, 6), utc(1, 5, 18))]


def test_a_closed_day_drops_the_shifts_that_start_on_it_and_no_other():
    hours = hours_of(("22:00", "06:00"), days=range(7), closed_days=frozenset({date(2026, 1, 6)}))
    assert hours.open_spans(MONDAY, 3) == [
        Span(utc(1, 5, 0), utc(1, 5, 6)),
        Span(utc(1, 5, 22), utc(1, 6, 6)),
        Span(utc(1, 7, 22), utc(1, 8, 0)),
    ]


def test_overtime_is_open_on_a_closed_day_and_downtime_is_closed_in_overtime():
    hours = hours_of(
        ("06:00", "14:00"),
        closed_days=frozenset({MONDAY}),
        overtime=(Span(utc(1, 5, 8), utc(1, 5, 12)),),
        downtimes=(Downtime(utc(1, 5, 9), utc(1, 5, 10)),),
    )
    assert hours.open_spans(MONDAY, 1) == [Span(utc(1, 5, 8), utc(1, 5, 9)), Span(utc(1, 5, 10), utc(1, 5, 12))]


def test_a_time_that_the_clock_skips_moves_forward():
    start, end = shift_of(date(2026, 3, 8), "02:30", "10:00")
    assert start == datetime(2026, 3, 8, 3, 30, tzinfo=CDT)
    assert end == datetime(2026, 3, 8, 10, tzinfo=CDT)


def test_a_time_that_the_clock_passes_twice_is_the_first_for_start_and_end():
    start, _ = shift_of(date(2026, 11, 1), "01:30", "09:30")
    _, end = shift_of(date(2026, 10, 31), "17:30", "01:30")
    assert start == end == datetime(2026, 11, 1, 1, 30, tzinfo=CDT)
    assert shift_of(date(2026, 11, 1), "01:30", "09:30")[1] == datetime(2026, 11, 1, 9, 30, tzinfo=CST)


def test_a_shift_that_the_clock_skips_altogether_is_never_open():
    hours = hours_of(("02:15", "02:45"), ("02:30", "03:00"), days=[6], zone="America/Chicago")
    open_spans = hours.open_spans(date(2026, 3, 8), 1)
    assert open_spans == [Span(utc(3, 8, 8, 15), utc(3, 8, 8, 45))]  # 03:15 to 03:45 CDT: moved, the other is gone


@pytest.mark.parametrize(
    ("build", "complaint"),
    [
        (lambda: OpenHours("America/Chicargo"), "not an IANA time zone"),
        (lambda: OpenHours("../etc/passwd"), "not an IANA time zone"),
        (lambda: OpenHours(""), "not an IANA time zone"),
        (lambda: Shift(7, time(6), time(14)), "0 .Monday. to 6"),
        (lambda: Shift(0, time(6, tzinfo=UTC), time(14)), "without a zone"),
        (lambda: Downtime(5, 5), "end after it starts"),
        (lambda: OpenHours("UTC", overtime=(Span(5, 5),)), "end after it starts"),
    ],
)
def test_rules_that_make_no_sense_are_refused(build, complaint):
    with pytest.raises(ValueError, match=complaint):
        build()
