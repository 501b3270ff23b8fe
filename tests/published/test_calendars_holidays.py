"""Federal holidays of the United States, as observed by people who work Monday to Friday (5 U.S.C. 6103).

A holiday on a Saturday is observed on the Friday before, one on a Sunday on the Monday after (Executive Order 11582;
the Office of Personnel Management's yearly lists).
"""

from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import holidays
import pytest

from app.core.calendars import WorkCalendar
from tests.core.shops import HOUR, hours_of

OBSERVED = {
    2026: ["01-01", "01-19", "02-16", "05-25", "06-19", "07-03", "09-07", "10-12", "11-11", "11-26", "12-25"],
    2027: ["01-01", "01-18", "02-15", "05-31", "06-18", "07-05", "09-06", "10-11", "11-11", "11-25", "12-24", "12-31"],
}
LIBRARY = holidays.country_holidays("US", years=[2026, 2027])
CLOSED = frozenset(day for day in LIBRARY if day.weekday() < 5)
HOURS = hours_of(("07:00", "15:30"), zone="America/Chicago", closed_days=CLOSED)
CALENDAR = WorkCalendar(HOURS)


def open_days(first, last):
    days = (first + timedelta(days=n) for n in range((last - first).days))
    return sum(CALENDAR.work_between(HOURS.midnight(day), HOURS.midnight(day + timedelta(days=1))) > 0 for day in days)


@pytest.mark.parametrize("year", OBSERVED)
def test_the_closed_days_offered_are_those_observed_by_law(year):
    assert sorted(day for day in CLOSED if day.year == year) == [
        date.fromisoformat(f"{year}-{day}") for day in OBSERVED[year]
    ]


@pytest.mark.parametrize(("year", "days"), [(2026, 250), (2027, 249)])
def test_a_calendar_closed_on_them_has_so_many_working_days(year, days):
    """Recomputed with an independent business-day calendar."""
    assert open_days(date(year, 1, 1), date(year + 1, 1, 1)) == days


def test_each_month_of_2026_has_its_working_days():
    """Recomputed with an independent business-day calendar."""
    firsts = [date(2026, month, 1) for month in range(1, 13)] + [date(2027, 1, 1)]
    counts = [open_days(first, last) for first, last in pairwise(firsts)]
    assert counts == [20, 19, 22, 22, 20, 21, 22, 21, 21, 21, 19, 22]


@pytest.mark.parametrize(
    ("start", "days", "end"),
    [
        ("2026-07-01", 3, "2026-07-07"),
        ("2026-12-23", 3, "2026-12-29"),
        ("2026-11-25", 1, "2026-11-27"),
        ("2027-12-23", 2, "2027-12-28"),
        ("2027-06-17", 1, "2027-06-21"),
        ("2026-05-22", 1, "2026-05-26"),
    ],
)
def test_working_days_of_a_lead_time_skip_weekends_and_holidays(start, days, end):
    """Recomputed with an independent business-day calendar."""
    noon = datetime.fromisoformat(f"{start}T12:00").replace(tzinfo=ZoneInfo("America/Chicago"))
    back = CALENDAR.after_days(int(noon.timestamp()), days, working_days=True)
    assert HOURS.local(back).replace(tzinfo=None) == datetime.fromisoformat(f"{end}T12:00")
    assert CALENDAR.work_between(int(noon.timestamp()), back) == days * 17 * HOUR // 2
