"""The clock changes of the United States on the second Sunday in March and the first in November (15 U.S.C. 260a)."""

from datetime import UTC, date, datetime, timedelta

import pytest

from app.core.calendars import WorkCalendar
from tests.core.shops import HOUR, hours_of

NIGHTS = hours_of(("22:00", "06:00"), days=range(7), zone="America/Chicago")


def utc(year, month, day, hour):
    return int(datetime(year, month, day, hour, tzinfo=UTC).timestamp())


@pytest.mark.parametrize(
    ("evening", "opens", "closes", "hours"),
    [
        (date(2026, 3, 7), utc(2026, 3, 8, 4), utc(2026, 3, 8, 11), 7),
        (date(2026, 10, 31), utc(2026, 11, 1, 3), utc(2026, 11, 1, 12), 9),
        (date(2027, 3, 13), utc(2027, 3, 14, 4), utc(2027, 3, 14, 11), 7),
        (date(2027, 11, 6), utc(2027, 11, 7, 3), utc(2027, 11, 7, 12), 9),
        (date(2026, 7, 3), utc(2026, 7, 4, 3), utc(2026, 7, 4, 11), 8),
    ],
)
def test_a_night_shift_loses_an_hour_in_spring_and_gains_one_in_autumn(evening, opens, closes, hours):
    """Central time is UTC-6 in winter and UTC-5 in summer: 22:00 is 04:00 or 03:00 UTC, 06:00 is 12:00 or 11:00 UTC."""
    calendar = WorkCalendar(NIGHTS)
    assert calendar.next_open(opens - HOUR) == opens
    assert calendar.finish(opens, hours * HOUR) == closes
    assert calendar.work_between(opens - HOUR, closes + HOUR) == hours * HOUR
    assert NIGHTS.local(opens).date() == evening


@pytest.mark.parametrize(("day", "hours"), [(date(2026, 3, 8), 23), (date(2026, 11, 1), 25), (date(2026, 6, 1), 24)])
def test_a_shop_that_never_closes_has_a_day_of_23_or_25_hours(day, hours):
    always = hours_of(("00:00", "00:00"), days=range(7), zone="America/Chicago")
    first, last = always.midnight(day), always.midnight(day + timedelta(days=1))
    assert WorkCalendar(always).work_between(first, last) == last - first == hours * HOUR


def test_work_over_the_change_is_reckoned_in_hours_that_pass_not_in_hours_on_the_clock():
    """From 22:00 on 7 March five hours end at 04:00, from 22:00 on 31 October at 02:00."""
    calendar = WorkCalendar(NIGHTS)
    spring, autumn = (calendar.finish(start, 5 * HOUR) for start in (utc(2026, 3, 8, 4), utc(2026, 11, 1, 3)))
    assert [NIGHTS.local(end).strftime("%H:%M %Z") for end in (spring, autumn)] == ["04:00 CDT", "02:00 CST"]
