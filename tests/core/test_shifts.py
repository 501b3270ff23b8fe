"""Shifts one by one: the last, the one that runs, those that come; and the guesses made from them."""

from datetime import date, datetime, time
from itertools import pairwise
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from app.core.calendar_hours import Downtime, OpenHours, Shift
from app.core.shifts import Shifts, end_of_shift, next_morning, shift_spans, shifts_around
from app.core.worktime import Span

ZONE = "America/Chicago"
EARLY = tuple(Shift(day, time(6), time(14)) for day in range(5))
LATE = tuple(Shift(day, time(14), time(22)) for day in range(5))


def at(day: int, hour: int, minute: int = 0) -> int:
    """Return a second of January 2026 on the wall clock; the 7th is a Wednesday."""
    return int(datetime(2026, 1, day, hour, minute, tzinfo=ZoneInfo(ZONE)).timestamp())


TWO_SHIFTS = OpenHours(ZONE, (*EARLY, *LATE))


def test_shifts_that_follow_each_other_stay_apart():
    around = shifts_around(TWO_SHIFTS, at(7, 15))
    assert around.last == Span(at(7, 6), at(7, 14))
    assert around.current == Span(at(7, 14), at(7, 22))
    assert around.coming[0] == Span(at(8, 6), at(8, 14))


def test_a_shift_begins_at_its_first_second_and_has_ended_at_its_last():
    assert shifts_around(TWO_SHIFTS, at(7, 14)).current == Span(at(7, 14), at(7, 22))
    night = shifts_around(TWO_SHIFTS, at(7, 22))
    assert night.current is None
    assert night.last == Span(at(7, 14), at(7, 22))


def test_over_the_weekend_and_a_closed_day_the_last_shift_is_fridays():
    hours = OpenHours(ZONE, EARLY, frozenset({date(2026, 1, 12)}))
    around = shifts_around(hours, at(13, 7))
    assert around.last == Span(at(9, 6), at(9, 14))
    assert next_morning(hours, at(9, 15)) == at(13, 6)


def test_a_night_shift_reaches_over_midnight_and_the_next_morning_is_the_next_shift_of_a_later_day():
    hours = OpenHours(ZONE, tuple(Shift(day, time(22), time(6)) for day in range(5)))
    assert shifts_around(hours, at(8, 2)).current == Span(at(7, 22), at(8, 6))
    assert end_of_shift(hours, at(8, 2)) == at(8, 6)
    assert next_morning(hours, at(8, 2)) == at(9, 22)


def test_overtime_makes_its_shift_longer_and_stands_alone_elsewhere():
    hours = OpenHours(ZONE, EARLY, overtime=(Span(at(7, 14), at(7, 17)), Span(at(10, 8), at(10, 12))))
    assert end_of_shift(hours, at(7, 9)) == at(7, 17)
    assert shifts_around(hours, at(10, 9)).current == Span(at(10, 8), at(10, 12))


def test_overtime_over_the_gap_before_the_next_shift_ends_where_that_begins():
    late = tuple(Shift(day, time(18), time(22)) for day in range(5))
    hours = OpenHours(ZONE, (*EARLY, *late), overtime=(Span(at(7, 14), at(7, 19)),))
    assert end_of_shift(hours, at(7, 9)) == at(7, 18)


def test_a_downtime_changes_no_shift():
    down = OpenHours(ZONE, EARLY, downtimes=(Downtime(at(7, 6), at(8, 6)),))
    assert end_of_shift(down, at(7, 9)) == at(7, 14)


def test_a_station_that_is_never_open_has_no_shifts():
    never = OpenHours(ZONE)
    assert shifts_around(never, at(7, 9)) == Shifts(None, None, ())
    assert end_of_shift(never, at(7, 9)) is None
    assert next_morning(never, at(7, 9)) is None


@given(
    weeks=st.lists(
        st.builds(Shift, st.integers(0, 6), st.times().map(lambda t: t.replace(tzinfo=None)), st.times()), max_size=6
    ),
    overtime=st.lists(st.tuples(st.integers(0, 400), st.integers(1, 20)), max_size=3),
    hour=st.integers(0, 500),
)
def test_shifts_never_overlap_and_the_last_lies_before_the_current(weeks, overtime, hour):
    extra = tuple(Span(at(5, 0) + 3600 * start, at(5, 0) + 3600 * (start + long)) for start, long in overtime)
    hours = OpenHours(ZONE, tuple(weeks), overtime=extra)
    spans = shift_spans(hours, date(2026, 1, 1), 30)
    assert all(before.end <= after.start for before, after in pairwise(spans))
    around = shifts_around(hours, at(5, 0) + 3600 * hour)
    now = at(5, 0) + 3600 * hour
    if around.current:
        assert around.current.start <= now < around.current.end
    if around.last and around.current:
        assert around.last.end <= around.current.start
    assert all(span.start > now for span in around.coming)
