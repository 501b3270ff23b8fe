"""Set times of the day on the shop's wall clock: the next one, across closed days and daylight saving."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.timetable import Timetable

CHICAGO = "America/Chicago"
WORKING_WEEK = frozenset(range(5))
EVERY_DAY = frozenset(range(7))


def at(text: str) -> datetime:
    """Return a moment of Chicago's wall clock; of two equal ones the first."""
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(CHICAGO))


def test_it_is_the_first_time_after_the_moment():
    table = Timetable(CHICAGO, (time(14), time(6)), WORKING_WEEK)
    assert table.next_after(at("2026-01-07 05:59")) == at("2026-01-07 06:00")
    assert table.next_after(at("2026-01-07 06:00")) == at("2026-01-07 14:00")
    assert table.next_after(at("2026-01-07 14:00")) == at("2026-01-08 06:00")


def test_days_off_and_closed_days_are_passed_over():
    table = Timetable(CHICAGO, (time(6),), WORKING_WEEK, frozenset({date(2026, 1, 12)}))
    assert table.next_after(at("2026-01-09 06:00")) == at("2026-01-13 06:00")


@pytest.mark.parametrize("table", [Timetable(CHICAGO, (), EVERY_DAY), Timetable(CHICAGO, (time(6),), frozenset())])
def test_without_a_time_or_a_day_there_is_none(table):
    assert table.next_after(at("2026-01-07 06:00")) is None


def test_a_shop_that_is_closed_for_ever_has_none():
    closed = frozenset(date(2026, 1, 1) + timedelta(days=day) for day in range(500))
    assert Timetable(CHICAGO, (time(6),), EVERY_DAY, closed).next_after(at("2026-01-07 06:00")) is None


def test_the_hour_that_spring_skips_moves_on():
    """The United States' clocks go from 02:00 to 03:00 on the second Sunday of March (15 U.S.C. 260a)."""
    table = Timetable(CHICAGO, (time(2, 30),), EVERY_DAY)
    assert table.next_after(at("2026-03-07 12:00")) == at("2026-03-08 03:30")
    assert table.next_after(at("2026-03-08 03:30")) == at("2026-03-09 02:30")


def test_the_hour_that_autumn_has_twice_comes_once():
    """They go back from 02:00 to 01:00 on the first Sunday of November (15 U.S.C. 260a)."""
    table = Timetable(CHICAGO, (time(1, 30),), EVERY_DAY)
    first = datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    assert table.next_after(at("2026-10-31 12:00")) == first
    assert table.next_after(first) == at("2026-11-02 01:30")


def test_a_time_keeps_its_place_on_the_wall_over_the_change():
    table = Timetable(CHICAGO, (time(6),), EVERY_DAY)
    assert table.next_after(at("2026-03-08 00:00")) == datetime(2026, 3, 8, 11, 0, tzinfo=UTC)
    assert table.next_after(at("2026-03-07 00:00")) == datetime(2026, 3, 7, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    "wrong",
    [
        {"zone": "Mars/Base"},
        {"weekdays": frozenset({7})},
        {"times": (time(6, tzinfo=UTC),)},
    ],
)
def test_wrong_input_is_refused(wrong):
    with pytest.raises(ValueError, match=r"zone|weekday"):
        Timetable(**{"zone": CHICAGO, "times": (time(6),), "weekdays": EVERY_DAY, **wrong})


MOMENTS = st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 - a zone is given
ZONES = st.sampled_from([CHICAGO, "Europe/Berlin", "Australia/Lord_Howe", "America/St_Johns", "UTC", "Pacific/Apia"])


@given(ZONES, st.lists(st.times(), min_size=1, max_size=4), st.sets(st.integers(0, 6), min_size=1), MOMENTS)
def test_it_lies_ahead_and_none_is_left_out(zone, times, weekdays, moment):
    table = Timetable(zone, tuple(each.replace(second=0, microsecond=0) for each in times), frozenset(weekdays))
    found = table.next_after(moment)
    assert found is not None
    assert found > moment
    assert found - moment <= timedelta(days=8, hours=3)
    between = moment + (found - moment) / 2
    assert table.next_after(between) == found
