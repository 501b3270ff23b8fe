"""Add and change work centers and stations. A station is never deleted: its name stands in what was done there."""

from collections.abc import Iterator
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.shop import OverClosed
from app.shared.database import transaction
from app.shared.errors import Problem, refuse
from app.stations import queries
from app.stations.errors import StationNameTakenError, WorkCenterNameTakenError
from app.stations.models import Shift, Station, WorkCenter


@dataclass(frozen=True, slots=True)
class NewStation:
    """A station as its form gives it: in a work center that exists, or in a new one with a name."""

    name: str
    pallets: int = 1
    work_center_id: int | None = None
    new_work_center: str = ""
    hours_from: int | None = None
    pallet_change_seconds: int = 0
    over_closed: OverClosed = OverClosed.PAUSE
    unattended_minutes: int = 0
    pace: int = 100


def add_work_center(session: orm.Session, name: str) -> WorkCenter:
    """Add a work center.

    Raises:
        RefusedError: there is one with this name.
    """
    with transaction(session):
        refuse(_center_problems(session, "name", name, None))
        center = WorkCenter(name=name)
        session.add(center)
    return center


def rename_work_center(session: orm.Session, work_center_id: int, name: str) -> WorkCenter:
    """Give a work center another name.

    Raises:
        WorkCenterNotFoundError: there is no such work center.
        RefusedError: there is another one with this name.
    """
    with transaction(session):
        center = queries.get_work_center(session, work_center_id, lock=True)
        refuse(_center_problems(session, "name", name, center.id))
        center.name = name
    return center


def add_station(session: orm.Session, new: NewStation) -> Station:
    """Add a station with the next free scan code, and the weekly hours of the station that is named for it, if any.

    Raises:
        RefusedError: its name or that of the new work center is taken; its problems say which.
        WorkCenterNotFoundError: there is no such work center.
        StationNotFoundError: there is no such station to copy the hours of.
    """
    with transaction(session):
        refuse(_problems(session, new, None))
        source = queries.get_station(session, new.hours_from).shifts if new.hours_from is not None else []
        station = Station(
            name=new.name,
            work_center=_work_center(session, new),
            number=queries.next_station_number(session),
            shifts=[Shift(weekday=each.weekday, starts=each.starts, ends=each.ends) for each in source],
        )
        _write_work(station, new)
        session.add(station)
    return station


def change_station(session: orm.Session, station_id: int, new: NewStation) -> Station:
    """Change a station's name, work center and how it works; its scan code stays.

    Raises:
        StationNotFoundError: there is no such station.
        RefusedError: its name or that of the new work center is taken; its problems say which.
        WorkCenterNotFoundError: there is no such work center.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        refuse(_problems(session, new, station.id))
        center = _work_center(session, new)
        station.name = new.name
        station.work_center = center
        _write_work(station, new)
    return station


def _write_work(station: Station, new: NewStation) -> None:
    """Write what the time of work at a station depends on."""
    station.pallets = new.pallets
    station.pallet_change_seconds = new.pallet_change_seconds
    station.over_closed = new.over_closed
    station.unattended_minutes = new.unattended_minutes
    station.pace = new.pace


def deactivate_station(session: orm.Session, station_id: int) -> Station:
    """Take a station out of use: nothing is planned on it and nobody signs on there.

    Raises:
        StationNotFoundError: there is no such station.
    """
    return _set_active(session, station_id, active=False)


def activate_station(session: orm.Session, station_id: int) -> Station:
    """Put a station to use again.

    Raises:
        StationNotFoundError: there is no such station.
    """
    return _set_active(session, station_id, active=True)


def _set_active(session: orm.Session, station_id: int, *, active: bool) -> Station:
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        station.active = active
    return station


def _work_center(session: orm.Session, new: NewStation) -> WorkCenter:
    if new.new_work_center:
        return add_work_center(session, new.new_work_center)
    return queries.get_work_center(session, new.work_center_id or 0)


def _center_problems(session: orm.Session, place: str, name: str, but: int | None) -> Iterator[Problem]:
    same = sa.select(WorkCenter).where(sa.func.lower(WorkCenter.name) == name.lower(), WorkCenter.id != (but or 0))
    if session.scalars(same).first() is not None:
        yield Problem(place, WorkCenterNameTakenError(name))


def _problems(session: orm.Session, new: NewStation, but: int | None) -> Iterator[Problem]:
    same = sa.select(Station).where(sa.func.lower(Station.name) == new.name.lower(), Station.id != (but or 0))
    taken = session.scalars(same).first()
    if taken is not None:
        yield Problem("name", StationNameTakenError(taken.name, active=taken.active))
    if new.new_work_center:
        yield from _center_problems(session, "new_work_center", new.new_work_center, None)
