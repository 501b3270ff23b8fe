"""Overtime and downtime of stations."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import orm

from app.core.calendars import CLOSED_DAYS_LIMIT
from app.shared.database import transaction
from app.shared.errors import Problem, refuse
from app.stations import queries
from app.stations.errors import (
    DowntimeOverlapError,
    EndsBeforeStartError,
    LongDowntimeError,
    LongOvertimeError,
    OvertimeOverlapError,
)
from app.stations.models import Downtime, Overtime, Station

LONGEST_OVERTIME: Final = timedelta(days=7)
LONGEST_DOWNTIME: Final = timedelta(days=CLOSED_DAYS_LIMIT)


@dataclass(frozen=True, slots=True)
class NewDowntime:
    """A stretch without work, ``[starts_at, ends_at)``, aware; the end may be a guess."""

    starts_at: datetime
    ends_at: datetime
    end_is_guess: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class NewOvertime:
    """Extra open hours, ``[starts_at, ends_at)``, aware; for the whole work center where ``everywhere`` says so."""

    starts_at: datetime
    ends_at: datetime
    reason: str = ""
    everywhere: bool = False


def add_downtime(session: orm.Session, station_id: int, new: NewDowntime) -> Downtime:
    """Take a station out of service for a stretch of time.

    Raises:
        StationNotFoundError: there is no such station.
        RefusedError: it would end before it starts or go on for too long, or the station is down then already.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        _refuse_downtime(session, station, new)
        downtime = Downtime(station_id=station.id)
        _write_downtime(downtime, new)
        session.add(downtime)
    return downtime


def change_downtime(session: orm.Session, station_id: int, downtime_id: int, new: NewDowntime) -> Downtime:
    """Change when and why a station is down.

    Raises:
        StretchNotFoundError: the station has no such downtime.
        RefusedError: it would end before it starts or go on for too long, or the station is down then already.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        downtime = queries.get_downtime(session, station_id, downtime_id)
        _refuse_downtime(session, station, new, but=downtime_id)
        _write_downtime(downtime, new)
    return downtime


def remove_downtime(session: orm.Session, station_id: int, downtime_id: int) -> None:
    """Remove a downtime that was entered by mistake.

    Raises:
        StretchNotFoundError: the station has no such downtime.
    """
    with transaction(session):
        session.delete(queries.get_downtime(session, station_id, downtime_id))


def add_overtime(session: orm.Session, station_id: int, new: NewOvertime) -> list[Overtime]:
    """Open a station, or all stations in use of its work center, for extra hours.

    Raises:
        StationNotFoundError: there is no such station.
        RefusedError: it would end before it starts or go on for too long, or one of them has overtime then already.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        stations = queries.stations_in(session, station.work_center_id) if new.everywhere else [station]
        _refuse_overtime(session, stations, new)
        added = [
            Overtime(station_id=each.id, starts_at=new.starts_at, ends_at=new.ends_at, reason=new.reason)
            for each in stations
        ]
        session.add_all(added)
    return added


def change_overtime(session: orm.Session, station_id: int, overtime_id: int, new: NewOvertime) -> Overtime:
    """Change the extra hours of one station.

    Raises:
        StretchNotFoundError: the station has no such overtime.
        RefusedError: it would end before it starts or go on for too long, or the station has overtime then already.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        overtime = queries.get_overtime(session, station_id, overtime_id)
        _refuse_overtime(session, [station], new, but=overtime_id)
        overtime.starts_at, overtime.ends_at, overtime.reason = new.starts_at, new.ends_at, new.reason
    return overtime


def remove_overtime(session: orm.Session, station_id: int, overtime_id: int) -> None:
    """Take back extra hours of one station.

    Raises:
        StretchNotFoundError: the station has no such overtime.
    """
    with transaction(session):
        session.delete(queries.get_overtime(session, station_id, overtime_id))


def _refuse_downtime(session: orm.Session, station: Station, new: NewDowntime, but: int = 0) -> None:
    if new.ends_at <= new.starts_at:
        refuse([Problem("ends_at", EndsBeforeStartError())])
    if new.ends_at - new.starts_at > LONGEST_DOWNTIME:
        refuse([Problem("ends_at", LongDowntimeError(LONGEST_DOWNTIME.days))])
    clash = queries.first_overlap(session, Downtime, [station], new.starts_at, new.ends_at, but)
    if clash is not None:
        refuse([Problem("starts_at", DowntimeOverlapError(station.name, clash.ends_at))])


def _refuse_overtime(session: orm.Session, stations: Sequence[Station], new: NewOvertime, but: int = 0) -> None:
    if new.ends_at <= new.starts_at:
        refuse([Problem("ends_at", EndsBeforeStartError())])
    if new.ends_at - new.starts_at > LONGEST_OVERTIME:
        refuse([Problem("ends_at", LongOvertimeError(LONGEST_OVERTIME.days))])
    clash = queries.first_overlap(session, Overtime, stations, new.starts_at, new.ends_at, but)
    if clash is not None:
        refuse([Problem("starts_at", OvertimeOverlapError(clash.station.name, clash.ends_at))])


def _write_downtime(downtime: Downtime, new: NewDowntime) -> None:
    downtime.starts_at = new.starts_at
    downtime.ends_at = new.ends_at
    downtime.end_is_guess = new.end_is_guess
    downtime.reason = new.reason
