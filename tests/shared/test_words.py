"""Days, moments and times as pages show them; the clock stands on Wednesday 7 January 2026, 9:00 in Chicago."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.shared.words import UNMISTAKABLE, duration, moment, short_day, to_the_minute, use_zone

TODAY = date(2026, 1, 7)


@pytest.fixture(autouse=True)
def chicago(app):
    with app.app_context():
        use_zone(ZoneInfo("America/Chicago"))
        yield


@pytest.mark.parametrize("way", [1, -1])
def test_a_day_that_could_be_another_year_s_is_shown_with_its_year(way):
    near = TODAY + way * UNMISTAKABLE
    far = near + way * timedelta(days=1)
    assert (str(near.year) in short_day(near), str(far.year) in short_day(far)) == (False, True)


def test_moments_are_days_of_the_shop_with_a_time():
    assert moment(datetime(2026, 1, 8, 3, 30, tzinfo=UTC)) == "Wed 7 Jan 21:30"
    assert moment(datetime(2028, 1, 8, 3, 30, tzinfo=UTC)) == "Fri 7 Jan 2028 21:30"


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [
        (0, "0_s"),
        (59, "59_s"),
        (3_599, "59_min"),
        (3_600, "1_h"),
        (-35_520, "−9_h 52_min"),
        (86_459, "1_d"),
        (97_200, "1_d 3_h"),
    ],
)
def test_a_stretch_of_time_has_two_units_each_beside_its_number(seconds, shown):
    assert duration(seconds) == shown.replace("_", "\u00a0")


@pytest.mark.parametrize(("minutes", "shown"), [(0, "0_min"), (60, "1_h"), (3_065, "2_d 3_h 5_min")])
def test_minutes_that_are_added_up_are_shown_with_all_their_units(minutes, shown):
    assert to_the_minute(minutes) == shown.replace("_", "\u00a0")
