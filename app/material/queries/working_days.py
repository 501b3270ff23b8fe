"""Days on which a delivery can be expected: Monday to Friday, but not while the shop is closed."""

from collections.abc import Collection, Container
from datetime import date, timedelta

from sqlalchemy import orm

from app.stations.queries import closed_days


def working_day_from(session: orm.Session, day: date) -> date:
    """Return ``day``, or the first working day after it; one statement.

    Vendors and carriers deliver Monday to Friday (common practice, no source).
    """
    return working_days_from(session, [day])[day]


def working_days_from(session: orm.Session, days: Collection[date]) -> dict[date, date]:
    """Return ``working_day_from`` for each of several days; one statement."""
    if not days:
        return {}
    closed = closed_days(session, min(days))
    return {day: _first_open(day, closed) for day in days}


def _first_open(day: date, closed: Container[date]) -> date:
    while day.weekday() >= 5 or day in closed:
        day += timedelta(days=1)
    return day
