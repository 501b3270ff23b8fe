"""The days on which the whole shop is closed."""

from datetime import date

import sqlalchemy as sa
from sqlalchemy import orm

from app.stations.models import Closure


def closures_between(session: orm.Session, first: date, last: date) -> list[Closure]:
    """Return the closed days from ``first`` to ``last``, both included, by date."""
    return list(session.scalars(sa.select(Closure).where(Closure.day.between(first, last)).order_by(Closure.day)))


def closed_days(session: orm.Session, since: date) -> frozenset[date]:
    """Return the closed days from ``since`` on, for a calendar."""
    return frozenset(session.scalars(sa.select(Closure.day).where(Closure.day >= since)))
