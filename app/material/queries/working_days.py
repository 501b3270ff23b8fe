"""Days on which a delivery can be expected: Monday to Friday, but not while the shop is closed."""

from datetime import date, timedelta

from sqlalchemy import orm

from app.stations.queries import closed_days


def working_day_from(session: orm.Session, day: date) -> date:
    """Return ``day``, or the first working day after it; one statement.

    Vendors and carriers deliver Monday to Friday (common practice, no source).
    """
    closed = closed_days(session, day)
    while day.weekday() >= 5 or day in closed:
        day += timedelta(days=1)
    return day
