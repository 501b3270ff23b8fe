"""Saying at a station that a planned service was done."""

from dataclasses import replace

from sqlalchemy import orm

from app.floor.services.sent import Sent, said, working
from app.lots.queries.hours import run_seconds
from app.lots.services import count_hours
from app.stations import services as stations
from app.stations.models import PlannedService


def service_done(session: orm.Session, sent: Sent, service_id: int) -> PlannedService:
    """Say that a planned service of the station was done; the hours run until the next one count from now.

    Raises:
        NobodySignedOnError: nobody is signed on.
        ServiceNotFoundError: the station has no such service.
        NotDoneYetError: it was done after that already.
    """
    with working(session, sent) as act:
        count_hours(session, sent.received_at)
        ran = run_seconds(session).get(sent.station_id, 0)
        return stations.service_done(session, sent.station_id, service_id, said(act), ran)


def plan_service(session: orm.Session, station_id: int, new: stations.NewService, hours_since: int) -> PlannedService:
    """Plan a service of a station that ran ``hours_since`` hours since it was last done.

    Raises:
        StationNotFoundError: there is no such station.
    """
    ran = run_seconds(session).get(station_id, 0)
    return stations.add_service(session, station_id, replace(new, ran_then=ran - hours_since * 3600))
