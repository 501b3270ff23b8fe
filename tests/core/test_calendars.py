from datetime import UTC, date, datetime
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.calendar_hours import Downtime, OpenHours
from app.core.calendars import NoOpenHoursError, Pauses, WorkCalendar
from app.core.worktime import Span
from tests.core.shops import DAY, HOUR, MONDAY, calendar, hours_of, round_the_clock


def utc(year, month, day, hour=0):
    return int(datetime(year, month, day, hour, tzinfo=UTC).timestamp())


DAY_SHIFT = ("06:00", "14:00")
SIX, TWO = MONDAY + 6 * HOUR, MONDAY + 14 * HOUR


def test_work_pauses_overnight_and_goes_on_in_the_morning():
    assert calendar(DAY_SHIFT).finish(SIX, 10 * HOUR) == SIX + DAY + 2 * HOUR


def test_work_that_ends_exactly_at_closing_ends_then():
    assert calendar(DAY_SHIFT).finish(SIX, 8 * HOUR) == TWO
    assert calendar(DAY_SHIFT).finish(SIX, 16 * HOUR) == TWO + DAY
    assert calendar(DAY_SHIFT).finish(SIX, 8 * HOUR + 1) == SIX + DAY + 1


def test_work_given_while_closed_begins_at_the_next_opening():
    assert calendar(DAY_SHIFT).finish(TWO, 1) == SIX + DAY + 1
    assert calendar(DAY_SHIFT).finish(MONDAY, HOUR) == SIX + HOUR


def test_no_work_is_done_at_once_even_while_closed():
    assert calendar(DAY_SHIFT).finish(TWO + 5, 0) == TWO + 5


def test_a_span_is_open_from_its_first_second_to_the_one_before_closing():
    week = calendar(DAY_SHIFT)
    assert [week.is_open(second) for second in (SIX - 1, SIX, TWO - 1, TWO)] == [False, True, True, False]
    assert [week.next_open(second) for second in (SIX - 1, SIX, TWO - 1, TWO)] == [SIX, SIX, TWO - 1, SIX + DAY]


def test_the_weekend_is_closed():
    assert calendar(DAY_SHIFT).finish(SIX + 4 * DAY, 9 * HOUR) == SIX + 7 * DAY + HOUR


def test_a_question_about_an_earlier_day_is_answered_after_one_about_a_later():
    week = calendar(DAY_SHIFT)
    assert week.next_open(MONDAY + 70 * DAY) == SIX + 70 * DAY
    assert week.work_between(MONDAY - 7 * DAY, MONDAY) == 40 * HOUR
    assert week.spans(MONDAY - 7 * DAY, MONDAY - 6 * DAY) == [Span(SIX - 7 * DAY, TWO - 7 * DAY)]


def test_round_the_clock_is_one_span_however_far_one_looks():
    always = round_the_clock()
    assert always.finish(MONDAY, 1000 * DAY) == MONDAY + 1000 * DAY
    assert always.spans(MONDAY, MONDAY + 500 * DAY) == [Span(MONDAY, MONDAY + 500 * DAY)]


def test_a_planned_service_is_told_apart_from_a_breakdown_which_comes_first():
    planned = Downtime(SIX, SIX + 4 * HOUR, planned=True)
    broken = Downtime(SIX + 3 * HOUR, SIX + 6 * HOUR)
    hurt = calendar(DAY_SHIFT, downtimes=(planned, broken))
    assert hurt.pauses(SIX, SIX + 7 * HOUR) == Pauses(closed=0, down=3 * HOUR, guess=False, service=3 * HOUR)


def test_pauses_are_told_apart_into_closed_and_down():
    down = Downtime(SIX + 2 * HOUR, SIX + DAY, guess=True)
    hurt = calendar(DAY_SHIFT, downtimes=(down,))
    assert hurt.pauses(SIX, SIX + DAY + HOUR) == Pauses(closed=0, down=22 * HOUR, guess=True)
    assert hurt.pauses(SIX + DAY, SIX + 2 * DAY) == Pauses(closed=16 * HOUR, down=0, guess=False)
    assert hurt.finish(SIX, 3 * HOUR) == SIX + DAY + HOUR


def test_a_calendar_without_open_hours_says_so():
    never = WorkCalendar(OpenHours("UTC"))
    assert never.work_between(MONDAY, MONDAY + DAY) == 0
    assert never.spans(MONDAY, MONDAY + DAY) == []
    assert not never.is_open(MONDAY)
    with pytest.raises(NoOpenHoursError, match="within 400 days"):
        never.next_open(MONDAY)
    with pytest.raises(NoOpenHoursError, match="within 400 days"):
        never.finish(MONDAY, 1)


def test_hours_that_run_out_hold_what_they_hold_and_no_more():
    saturday = WorkCalendar(OpenHours("UTC", overtime=(Span(SIX, TWO),)))
    assert saturday.finish(MONDAY, 8 * HOUR) == TWO
    with pytest.raises(NoOpenHoursError, match="end before the work does"):
        saturday.finish(MONDAY, 8 * HOUR + 1)


def test_a_closure_of_a_year_is_waited_for():
    closed = frozenset(date.fromordinal(date(2026, 1, 5).toordinal() + day) for day in range(365))
    assert calendar(DAY_SHIFT, closed_days=closed).next_open(MONDAY) == utc(2027, 1, 5, 6)


@pytest.mark.parametrize("days", [399, 401, 410, 500])
def test_a_closing_of_400_days_ends_the_hours_whatever_was_asked_before(days):
    closed = OpenHours("UTC", overtime=(Span(SIX, TWO), Span(SIX + days * DAY, TWO + days * DAY)))
    asked, fresh = WorkCalendar(closed), WorkCalendar(closed)
    asked.spans(MONDAY, MONDAY + 600 * DAY)
    for week in (asked, fresh):
        if days < 400:
            assert week.next_open(TWO) == SIX + days * DAY
            assert week.finish(MONDAY, 9 * HOUR) == SIX + days * DAY + HOUR
            continue
        with pytest.raises(NoOpenHoursError, match="within 400 days"):
            week.next_open(TWO)
        with pytest.raises(NoOpenHoursError, match="end before the work does"):
            week.finish(MONDAY, 9 * HOUR)


def test_more_work_than_ten_years_hold_is_refused():
    with pytest.raises(NoOpenHoursError, match="ten years"):
        calendar(DAY_SHIFT).finish(MONDAY, 10**9)


def test_negative_work_is_refused():
    with pytest.raises(ValueError, match="negative"):
        calendar(DAY_SHIFT).finish(MONDAY, -1)


def test_days_elsewhere_end_at_the_same_time_of_day_or_when_it_next_opens():
    week = calendar(DAY_SHIFT)
    tuesday_noon = MONDAY + DAY + 12 * HOUR
    assert week.after_days(tuesday_noon, 2) == tuesday_noon + 2 * DAY
    assert week.after_days(tuesday_noon, 5) == SIX + 7 * DAY  # Sunday: the next working day is Monday
    assert week.after_days(MONDAY + 20 * HOUR, 1) == SIX + 2 * DAY  # after closing: next morning
    assert week.after_days(TWO, 0) == SIX + DAY


def test_working_days_skip_the_days_without_open_hours():
    week = calendar(DAY_SHIFT, closed_days=frozenset({date(2026, 1, 12)}))
    thursday_noon = MONDAY + 3 * DAY + 12 * HOUR
    assert week.after_days(thursday_noon, 2, working_days=True) == MONDAY + 8 * DAY + 12 * HOUR
    with pytest.raises(NoOpenHoursError, match="ten years"):
        week.after_days(MONDAY, 4000, working_days=True)


def test_days_elsewhere_keep_the_wall_clock_time_over_a_change_of_clocks():
    always = WorkCalendar(hours_of(("00:00", "00:00"), days=range(7), zone="America/Chicago"))
    friday = datetime(2026, 3, 6, 18, tzinfo=UTC)  # noon CST
    assert always.after_days(int(friday.timestamp()), 3) == utc(2026, 3, 9, 17)  # noon CDT


def test_days_counted_within_the_hour_that_comes_twice_never_end_before_they_begin():
    always = WorkCalendar(hours_of(("00:00", "00:00"), days=range(7), zone="America/Chicago"))
    second_half_past_one = utc(2026, 11, 1, 7) + HOUR // 2
    assert always.after_days(second_half_past_one, 0) == second_half_past_one


QUARTERS = st.integers(0, 24 * 4 - 1).map(lambda quarter: f"{quarter // 4:02}:{quarter % 4 * 15:02}")
CALENDARS = st.builds(
    lambda shifts, days, start, downtime: calendar(
        *shifts,
        days=days,
        zone="America/Chicago",
        downtimes=(Downtime(start, start + downtime),),
    ),
    shifts=st.lists(st.tuples(QUARTERS, QUARTERS), min_size=1, max_size=3),
    days=st.sets(st.integers(0, 6), min_size=1),
    start=st.integers(utc(2026, 2, 20), utc(2026, 3, 20)),
    downtime=st.integers(1, 5 * DAY),
)
MOMENTS = st.integers(utc(2026, 2, 20), utc(2026, 3, 20))


@given(CALENDARS, MOMENTS, st.integers(1, 40 * HOUR))
def test_finish_is_the_first_moment_by_which_the_work_fits(week, start, work):
    end = week.finish(start, work)
    assert week.work_between(start, end) == work
    assert week.work_between(start, end - 1) == work - 1


@given(CALENDARS, MOMENTS, st.integers(0, 20 * HOUR), st.integers(1, 20 * HOUR))
def test_work_in_two_parts_ends_when_the_whole_would(week, start, first, second):
    assert week.finish(week.finish(start, first), second) == week.finish(start, first + second)


@given(CALENDARS, MOMENTS, st.integers(0, 30 * DAY))
def test_spans_pauses_and_work_agree(week, start, length):
    end = start + length
    spans = week.spans(start, end)
    assert all(a.end < b.start for a, b in pairwise(spans))
    work = sum(span.end - span.start for span in spans)
    pauses = week.pauses(start, end)
    assert work == week.work_between(start, end)
    assert work + pauses.closed + pauses.down == length
    assert all(week.is_open(span.start) and not week.is_open(span.end) for span in spans if span.end < end)


@given(CALENDARS, MOMENTS, MOMENTS)
def test_answers_do_not_depend_on_what_was_asked_before(week, first, second):
    fresh = WorkCalendar(week.hours)
    week.next_open(first)
    assert week.next_open(second) == fresh.next_open(second)
    assert week.finish(second, DAY) == fresh.finish(second, DAY)
