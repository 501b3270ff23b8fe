"""Close the whole shop on days, and open it again."""

from collections.abc import Collection
from datetime import date, timedelta

from sqlalchemy import orm

from app.shared.database import lock_row, transaction
from app.shared.errors import Problem, refuse
from app.shared.words import short_day
from app.stations import queries
from app.stations.errors import DayClosedError, EndsBeforeStartError, TooManyDaysError
from app.stations.models import Closure, Shop

MOST_DAYS = 60


def save_offered_days(session: orm.Session, country: str, state: str, year: int, chosen: Collection[date]) -> None:
    """Close the shop on the ``chosen`` ones of a year's public holidays and open it on the others.

    Days that the shop closed by itself stay closed. Country and state are kept as the shop's own.

    Raises:
        UnknownCountryError: no holidays are known for the country.
        UnknownStateError: the country has no such state.
    """
    code = queries.state_code(country, state)
    offered = {each.day: each.name for each in queries.offered_days(country, code, year)}
    with transaction(session):
        closed = {each.day: each for each in queries.closures_between(session, date(year, 1, 1), date(year, 12, 31))}
        for day, name in offered.items():
            if day in chosen and day not in closed:
                session.add(Closure(day=day, name=name))
            elif day not in chosen and day in closed:
                session.delete(closed[day])
        shop = lock_row(session, Shop, queries.ONLY_ROW)
        if shop is not None:
            shop.holiday_country, shop.holiday_state = country, code


def close_days(session: orm.Session, first: date, last: date, name: str) -> None:
    """Close the shop from ``first`` to ``last``, both included; a longer stretch may contain days closed already.

    Raises:
        RefusedError: ``last`` is before ``first``, it is more than MOST_DAYS days, or all are closed already.
    """
    if last < first:
        refuse([Problem("last", EndsBeforeStartError())])
    days = [first + timedelta(days=offset) for offset in range((last - first).days + 1)]
    if len(days) > MOST_DAYS:
        refuse([Problem("last", TooManyDaysError(MOST_DAYS))])
    with transaction(session):
        closed = {each.day: each for each in queries.closures_between(session, first, last)}
        if len(closed) == len(days):
            refuse([Problem("first", DayClosedError(short_day(first), closed[first].name))])
        session.add_all(Closure(day=day, name=name) for day in days if day not in closed)


def open_day(session: orm.Session, closure_id: int) -> None:
    """Open the shop on a closed day; nothing happens where it is open already."""
    with transaction(session):
        closure = lock_row(session, Closure, closure_id)
        if closure is not None:
            session.delete(closure)
