"""Planned services of stations: define one, change its mind, say that it was done."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm

from app.shared.database import lock_row, transaction
from app.stations import queries
from app.stations.errors import NotDoneYetError, ServiceNotFoundError
from app.stations.models import PlannedService, Saying
from app.stations.services.said import Said, said_before


@dataclass(frozen=True, slots=True)
class NewService:
    """A planned service: every so many days or every so many hours run, one of the two.

    Attributes:
        name: what is done.
        every_days: days between two.
        every_hours: hours that the station runs between two.
        takes_minutes: open time that it takes.
        last_done_at: when it was last done (aware).
        ran_then: seconds that the station had run then, by our count.
    """

    name: str
    takes_minutes: int
    last_done_at: datetime
    every_days: int | None = None
    every_hours: int | None = None
    ran_then: int = 0


def add_service(session: orm.Session, station_id: int, new: NewService) -> PlannedService:
    """Plan a service of a station; the forecast reckons with it from then on.

    Raises:
        StationNotFoundError: there is no such station.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        service = PlannedService(
            station_id=station.id,
            name=new.name,
            every_days=new.every_days,
            every_hours=new.every_hours,
            takes_minutes=new.takes_minutes,
            last_done_at=new.last_done_at,
            ran_then=new.ran_then,
        )
        session.add(service)
    return service


def remove_service(session: orm.Session, station_id: int, service_id: int) -> PlannedService:
    """Plan a service no longer; when it was done stays on record.

    Raises:
        ServiceNotFoundError: the station has no such service.
    """
    with transaction(session):
        service = _service(session, station_id, service_id)
        service.active = False
    return service


def service_done(session: orm.Session, station_id: int, service_id: int, said: Said, ran: int) -> PlannedService:
    """Say that a planned service was done; ``ran`` is how many seconds the station has run by our count.

    Raises:
        ServiceNotFoundError: the station has no such service.
        NotDoneYetError: it was done after that already.
    """
    with transaction(session):
        queries.get_station(session, station_id, lock=True)
        service = _service(session, station_id, service_id)
        if said_before(session, station_id, said, Saying.SERVICED, {"service": service_id}, service.name):
            return service
        if said.happened_at <= service.last_done_at:
            raise NotDoneYetError(service.name, service.last_done_at)
        service.last_done_at = said.happened_at
        service.ran_then = ran
    return service


def _service(session: orm.Session, station_id: int, service_id: int) -> PlannedService:
    service = lock_row(session, PlannedService, service_id)
    if service is None or service.station_id != station_id or not service.active:
        raise ServiceNotFoundError
    return service
