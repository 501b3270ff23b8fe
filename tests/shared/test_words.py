"""Days and moments as pages show them; the clock stands on Wednesday 7 January 2026, 9:00 in Chicago."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.shared.words import UNMISTAKABLE, moment, short_day, use_zone

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
