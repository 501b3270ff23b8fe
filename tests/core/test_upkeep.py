"""When a planned service falls due, by days or by hours run, and the time it takes."""

from datetime import datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.upkeep import Rule, Use, expected_services
from app.core.worktime import Span

ZONE = "America/Chicago"
HOUR, DAY = 3600, 86_400
EIGHT_TO_FOUR = OpenHours(ZONE, tuple(Shift(day, time(8), time(16)) for day in range(5)))


def at(day: int, hour: int, minute: int = 0) -> int:
    """Return a second of January 2026 on the wall clock; the 5th is a Monday."""
    return int(datetime(2026, 1, day, hour, minute, tzinfo=ZoneInfo(ZONE)).timestamp())


def calendar() -> WorkCalendar:
    return WorkCalendar(EIGHT_TO_FOUR)


def test_by_days_it_is_due_at_the_same_time_of_day_and_begins_when_the_station_opens():
    rule = Rule(takes_s=2 * HOUR, last_done=at(2, 20), every_days=7)
    first = expected_services(rule, calendar(), Use(0, 0), at(5, 9), at(31, 0))[0]
    assert (first.due, first.span, first.guess) == (at(9, 20), Span(at(12, 8), at(12, 10)), False)


def test_the_ones_after_it_count_from_its_end():
    rule = Rule(takes_s=2 * HOUR, last_done=at(2, 9), every_days=7)
    found = expected_services(rule, calendar(), Use(0, 0), at(5, 9), at(24, 0))
    assert [each.span for each in found] == [
        Span(at(9, 9), at(9, 11)),
        Span(at(16, 11), at(16, 13)),
        Span(at(23, 13), at(23, 15)),
    ]


def test_by_hours_the_time_left_is_stretched_by_how_much_the_station_ran_lately():
    """8 h are left, and it ran half of its open time lately: 16 open hours, Monday 9:00 to Wednesday 9:00."""
    rule = Rule(takes_s=HOUR, last_done=0, every_s=100 * HOUR, ran_s=92 * HOUR)
    first = expected_services(rule, calendar(), Use(80 * HOUR, 160 * HOUR), at(5, 9), at(9, 0))[0]
    assert (first.due, first.span, first.guess) == (at(7, 9), Span(at(7, 9), at(7, 10)), True)


@pytest.mark.parametrize("use", [Use(0, 0), Use(0, 160 * HOUR), Use(160 * HOUR, 160 * HOUR)])
def test_a_station_that_never_ran_or_always_does_is_reckoned_as_running_all_its_open_time(use):
    rule = Rule(takes_s=HOUR, last_done=0, every_s=100 * HOUR, ran_s=92 * HOUR)
    assert expected_services(rule, calendar(), use, at(5, 9), at(9, 0))[0].due == at(6, 9)


def test_an_overdue_one_is_expected_at_the_next_opening_not_in_the_middle_of_a_run():
    by_hours = Rule(takes_s=HOUR, last_done=0, every_s=100 * HOUR, ran_s=101 * HOUR)
    by_days = Rule(takes_s=HOUR, last_done=at(1, 9), every_days=2)
    for rule, due in ((by_hours, at(5, 9)), (by_days, at(3, 9))):
        first = expected_services(rule, calendar(), Use(0, 0), at(5, 9), at(9, 0))[0]
        assert (first.due, first.span, first.guess) == (due, Span(at(6, 8), at(6, 9)), True)
    night = expected_services(by_hours, calendar(), Use(0, 0), at(5, 20), at(9, 0))[0]
    assert night.span.start == at(6, 8)


def test_a_station_that_is_never_open_is_never_serviced():
    rule = Rule(takes_s=HOUR, last_done=at(1, 9), every_days=2)
    assert expected_services(rule, WorkCalendar(OpenHours(ZONE)), Use(0, 0), at(5, 9), at(31, 0)) == []


@pytest.mark.parametrize(
    "wrong", [{}, {"every_days": 1, "every_s": 1}, {"every_days": -1}, {"every_s": 5, "takes_s": 0}]
)
def test_a_rule_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(ValueError, match="service"):
        Rule(**{"takes_s": HOUR, "last_done": 0, **wrong})


@given(
    days=st.integers(0, 20),
    hours=st.integers(1, 300),
    ran=st.integers(0, 400),
    takes=st.integers(1, 20),
    used=st.integers(0, 200),
)
def test_services_follow_each_other_begin_in_open_time_and_take_what_they_take(days, hours, ran, takes, used):
    rule = (
        Rule(takes * HOUR, at(1, 9), every_days=days)
        if days
        else Rule(takes * HOUR, at(1, 9), every_s=hours * HOUR, ran_s=ran * HOUR)
    )
    hours_open = calendar()
    found = expected_services(rule, hours_open, Use(used * HOUR, 160 * HOUR), at(5, 9), at(5, 9) + 60 * DAY)
    before = at(5, 9)
    for each in found:
        assert each.span.start >= before
        assert hours_open.is_open(each.span.start)
        assert hours_open.work_between(*each.span) == takes * HOUR
        assert each.span.start >= each.due
        before = each.span.end
