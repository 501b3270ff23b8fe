"""The checker's own hours are those of the calendars, which it shares no code with."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.core.calendar_hours import OpenHours
from app.core.plan_check.hours import Hours, NeverDoneError, StationHours, Timeline, until_closed
from app.core.worktime import Span
from tests.core.planning.generated import BEFORE_A_CHANGE_OF_CLOCKS, calendars
from tests.core.shops import DAY, HOUR, at, calendar

NOWS = st.sampled_from(BEFORE_A_CHANGE_OF_CLOCKS)


@settings(max_examples=100, deadline=None)
@given(
    NOWS.flatmap(lambda now: st.tuples(st.just(now), calendars(now))),
    st.integers(-DAY, 9 * DAY),
    st.integers(1, 9 * DAY),
)
def test_open_seconds_and_ends_are_those_of_the_calendars(drawn, offset, length):
    now, hours = drawn
    timeline, start = Timeline(Hours(hours.hours).open), now + offset
    assert timeline.count(start, start + length) == hours.work_between(start, start + length)
    assert timeline.has(start) == hours.is_open(start)
    assert timeline.done_at(start, length) == hours.finish(start, length)
    assert timeline.next(start) == hours.next_open(start)


def test_a_calendar_without_hours_never_does_any_work():
    timeline = Timeline(Hours(calendar().hours).open)
    assert timeline.done_at(at(0), 0) == at(0)
    with pytest.raises(NeverDoneError):
        timeline.done_at(at(0), 1)


def test_attended_is_when_the_station_is_open_and_some_crew_is_there():
    crews = [calendar(("06:00", "14:00")), calendar(("13:00", "22:00"), days=[0])]
    there = [Timeline(Hours(one.hours).open) for one in crews]
    hours = StationHours(calendar(("08:00", "20:00")).hours, there, 0, at(0))
    assert hours.attended.within(at(0), at(2 * 24 * 60)) == [
        (at(480), at(1200)),
        (at(24 * 60 + 480), at(24 * 60 + 840)),
    ]


def test_each_closing_is_followed_by_an_allowance_over_midnight_too():
    hours = StationHours(calendar(("08:00", "22:00"), days=[0, 1]).hours, None, 4 * HOUR, at(0))
    day = 24 * 60
    spans = hours.running.within(at(0), at(3 * day))
    assert spans == [
        (at(480), at(day)),
        (at(day), at(day + 120)),
        (at(day + 480), at(2 * day)),
        (at(2 * day), at(2 * day + 120)),
    ]
    assert hours.attended.count(at(0), at(3 * day)) == 28 * HOUR


def test_an_allowance_longer_than_a_day_lasts_as_long_as_it_says():
    hours = StationHours(calendar(("08:00", "16:00"), days=[4]).hours, None, 60 * HOUR, at(0))
    friday = 4 * 24 * 60
    assert hours.running.done_at(at(friday + 480), 68 * HOUR) == at(friday + 480) + 68 * HOUR
    assert hours.running.done_at(at(friday + 480), 68 * HOUR + 1) == at(friday + 480) + 7 * DAY + 1


@pytest.mark.parametrize(("days_off", "opens_again"), [(398, True), (402, False)])
def test_what_is_closed_for_400_days_is_closed_for_good(days_off, opens_again):
    later = at(60) + days_off * DAY
    opens = OpenHours("UTC", overtime=(Span(at(0), at(60)), Span(later, later + HOUR)))
    timeline = until_closed(Hours(opens).open, at(0))
    assert timeline.has(later) == opens_again
    assert timeline.within(at(0), later + DAY)[0] == (at(0), at(60))
    assert timeline.count(at(0), later + DAY) == (2 if opens_again else 1) * HOUR
