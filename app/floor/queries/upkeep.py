"""A station's planned services, the hours it ran, and what was done lately."""

from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.queries.frames import Frame, frame
from app.lots.models import HoursCount, StationHours
from app.schedule.models import ServiceForecast
from app.stations.models import PlannedService, Saying, StationChange

SHOWN = 12


@dataclass(frozen=True, slots=True)
class ServiceRow:
    """A planned service, how long the station ran since it was done, and when it is expected next."""

    service: PlannedService
    ran_seconds: int
    expected: ServiceForecast | None

    def overdue(self, now: datetime) -> bool:
        """Say whether it should have been done by now."""
        by_hours = self.service.every_hours
        if by_hours:
            return self.ran_seconds >= by_hours * 3600
        due = self.expected is not None and self.expected.due_at <= now
        return due and self.expected is not None and self.service.last_done_at < self.expected.due_at


@dataclass(frozen=True, slots=True)
class UpkeepPage:
    """What the page about a station's service shows; ``counted_at`` is when its hours were counted last."""

    frame: Frame
    ran_seconds: int
    counted_at: datetime | None
    rows: list[ServiceRow]
    done: list[StationChange]


def upkeep_page(session: orm.Session, station_id: int, now: datetime) -> UpkeepPage:
    """Read a station's planned services in a fixed number of statements.

    Raises:
        StationNotFoundError: there is no such station.
    """
    around = frame(session, station_id, now)
    hours = session.get(StationHours, station_id)
    ran = hours.run_seconds if hours else 0
    services = session.execute(
        sa.select(PlannedService, ServiceForecast)
        .outerjoin(ServiceForecast, ServiceForecast.service_id == PlannedService.id)
        .where(PlannedService.station_id == station_id, PlannedService.active)
        .order_by(PlannedService.id)
    )
    done = session.scalars(
        sa.select(StationChange)
        .where(StationChange.station_id == station_id, StationChange.what == Saying.SERVICED)
        .order_by(StationChange.happened_at.desc(), StationChange.id.desc())
        .limit(SHOWN)
        .options(orm.joinedload(StationChange.person))
    )
    return UpkeepPage(
        frame=around,
        ran_seconds=ran,
        counted_at=session.scalar(sa.select(HoursCount.counted_at)),
        rows=[ServiceRow(each, ran - each.ran_then, expected) for each, expected in services],
        done=list(done),
    )
