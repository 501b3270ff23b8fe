"""Planned services as the core takes them, and the ones that fall due."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendars import WorkCalendar
from app.core.upkeep import Rule, Use
from app.lots.queries.hours import first_day_run, ran_since, run_seconds
from app.schedule.models import Forecast, ServiceForecast
from app.stations import queries as station_queries
from app.stations.models import PlannedService, Station

LATELY: Final = timedelta(days=28)
"""How long a station ran lately is taken from so many days."""
ANNOUNCED: Final = timedelta(days=7)
"""A service is announced so long before it falls due."""


@dataclass(frozen=True, slots=True)
class Upkeep:
    """The planned services by station, and how long each station ran in all and lately."""

    services: Mapping[int, Sequence[PlannedService]] = field(default_factory=dict)
    ran: Mapping[int, int] = field(default_factory=dict)
    lately: Mapping[int, int] = field(default_factory=dict)
    lately_from: int = 0

    def rule(self, service: PlannedService) -> Rule:
        """Return a service as the core takes it."""
        return Rule(
            takes_s=service.takes_minutes * 60,
            last_done=int(service.last_done_at.timestamp()),
            every_days=service.every_days or 0,
            every_s=(service.every_hours or 0) * 3600,
            ran_s=self.ran.get(service.station_id, 0) - service.ran_then,
        )

    def use(self, station_id: int, calendar: WorkCalendar, now: int) -> Use:
        """Return how long a station ran lately, of its open time."""
        ran = self.lately.get(station_id, 0)
        return Use(ran, calendar.work_between(self.lately_from, now) if ran else 0)


def read_upkeep(session: orm.Session, now: datetime) -> Upkeep:
    """Read the planned services and how long their stations ran; at most four statements."""
    services: defaultdict[int, list[PlannedService]] = defaultdict(list)
    for each in session.scalars(sa.select(PlannedService).where(PlannedService.active).order_by(PlannedService.id)):
        services[each.station_id].append(each)
    if not services:
        return Upkeep()
    zone = station_queries.shop_zone(session)
    first = max((now - LATELY).astimezone(zone).date(), first_day_run(session) or now.astimezone(zone).date())
    begin = int(datetime.combine(first, time.min, zone).timestamp())
    return Upkeep(services, run_seconds(session), ran_since(session, first, list(services)), begin)


@dataclass(frozen=True, slots=True)
class ServiceDue:
    """A planned service that falls due soon, or is overdue."""

    service: PlannedService
    due_at: datetime
    start_at: datetime
    is_guess: bool
    overdue: bool


def services_due(session: orm.Session, now: datetime, station_id: int | None = None) -> list[ServiceDue]:
    """Return what falls due within ANNOUNCED or is overdue, by the stored forecast, the first one first; one statement.

    A service that was done since that forecast is left out.
    """
    chosen = (
        sa.select(ServiceForecast, PlannedService)
        .join(PlannedService, ServiceForecast.service_id == PlannedService.id)
        .join(PlannedService.station)
        .where(
            PlannedService.active,
            Station.active,
            ServiceForecast.due_at <= now + ANNOUNCED,
            PlannedService.last_done_at < sa.select(Forecast.computed_at).scalar_subquery(),
        )
        .order_by(ServiceForecast.due_at, PlannedService.id)
        .options(orm.contains_eager(PlannedService.station))
    )
    if station_id is not None:
        chosen = chosen.where(PlannedService.station_id == station_id)
    return [
        ServiceDue(service, each.due_at, each.start_at, each.is_guess, overdue=each.due_at <= now)
        for each, service in session.execute(chosen)
    ]
