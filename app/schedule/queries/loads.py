"""How loaded the stations are, week by week, from the stored forecast."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.load import StationWeek, bottleneck
from app.schedule.models import StationForecast
from app.schedule.queries.hours import moment_of
from app.shared.words import local
from app.stations.models import Station

SHOWN_WEEKS: Final = 6
FULL: Final = 0.85
"""A station that is busy for a larger share of its open hours has little room for what nobody knows yet."""


@dataclass(frozen=True, slots=True)
class StationLoad:
    """A station and what it does in each of the shown weeks; None where the plan does not reach the week."""

    station: Station
    weeks: list[StationWeek | None]


@dataclass(frozen=True, slots=True)
class Load:
    """The shown weeks by their Mondays, the stations, and the one that holds up the others in the first four weeks."""

    mondays: list[date]
    stations: list[StationLoad]
    bottleneck: Station | None


def load(session: orm.Session) -> Load:
    """Return the load of all stations; one statement."""
    rows = session.execute(
        sa.select(Station, StationForecast.weeks)
        .join(StationForecast, StationForecast.station_id == Station.id)
        .order_by(Station.name)
    ).all()
    found = {station.id: [StationWeek(**each) for each in weeks] for station, weeks in rows}
    begins = sorted({each.week for weeks in found.values() for each in weeks})[:SHOWN_WEEKS]
    stations = []
    for station, _ in rows:
        by_week = {each.week: each for each in found[station.id]}
        stations.append(StationLoad(station, [by_week.get(week) for week in begins]))
    near = [each for weeks in found.values() for each in weeks if each.week in begins[:4]]
    key = bottleneck(near)
    named = next((station for station, _ in rows if station.name == key), None)
    return Load([_day(moment_of(week)) for week in begins], stations, named)


def _day(moment: datetime) -> date:
    return local(moment).date()
