"""Work centers, stations and their hours."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TypeVar

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, next_number
from app.shared.database import lock_row
from app.stations.errors import StationNotFoundError, StretchNotFoundError, WorkCenterNotFoundError
from app.stations.models import Downtime, Overtime, Station, WorkCenter

Stretch = TypeVar("Stretch", Downtime, Overtime)
_IN_ORDER = (sa.func.lower(WorkCenter.name), sa.func.lower(Station.name), Station.id)


def work_centers(session: orm.Session) -> list[WorkCenter]:
    """Return the work centers by name."""
    return list(session.scalars(sa.select(WorkCenter).order_by(sa.func.lower(WorkCenter.name), WorkCenter.id)))


def get_work_center(session: orm.Session, work_center_id: int, *, lock: bool = False) -> WorkCenter:
    """Return one work center.

    Raises:
        WorkCenterNotFoundError: there is none with this key.
    """
    found = lock_row(session, WorkCenter, work_center_id) if lock else session.get(WorkCenter, work_center_id)
    if found is None:
        raise WorkCenterNotFoundError
    return found


def get_station(session: orm.Session, station_id: int, *, lock: bool = False) -> Station:
    """Return one station, in use or not.

    Raises:
        StationNotFoundError: there is none with this key.
    """
    found = lock_row(session, Station, station_id) if lock else session.get(Station, station_id)
    if found is None:
        raise StationNotFoundError
    return found


def station_by_number(session: orm.Session, number: int) -> Station:
    """Return the station in use whose scan code carries ``number``.

    Raises:
        StationNotFoundError: there is none.
    """
    found = session.scalars(sa.select(Station).where(Station.number == number, Station.active)).one_or_none()
    if found is None:
        raise StationNotFoundError
    return found


def stations_in(session: orm.Session, work_center_id: int) -> list[Station]:
    """Return the stations in use of a work center, by name."""
    return list(
        session.scalars(
            sa.select(Station)
            .where(Station.work_center_id == work_center_id, Station.active)
            .order_by(sa.func.lower(Station.name), Station.id)
        )
    )


def all_stations(session: orm.Session, since: datetime) -> list[Station]:
    """Return every station in use with all that its calendar needs, in four statements, for planning.

    Its lists hold only the overtimes that end after ``since`` and the downtimes that do, or whose end is a guess (which
    ends nothing until somebody says so), as long as the session lasts: read them, do not change them.
    """
    return list(
        session.scalars(
            sa.select(Station)
            .join(Station.work_center)
            .where(Station.active)
            .order_by(*_IN_ORDER)
            .options(
                orm.contains_eager(Station.work_center),
                orm.selectinload(Station.shifts),
                orm.selectinload(Station.overtimes.and_(Overtime.ends_at > since)),
                orm.selectinload(Station.downtimes.and_(sa.or_(Downtime.ends_at > since, Downtime.end_is_guess))),
            )
            .execution_options(populate_existing=True)
        )
    )


def stations_today(session: orm.Session, now: datetime) -> list[Station]:
    """Return the stations in use by name, with their hours and what lasts at ``now``; one statement.

    Their lists hold the overtimes of the last month and the downtimes that last now: read them, do not change them.
    """
    lately = Overtime.ends_at > now - timedelta(days=31)
    lasts = sa.and_(Downtime.starts_at <= now, sa.or_(Downtime.ends_at > now, Downtime.end_is_guess))
    return list(
        session.scalars(
            sa.select(Station)
            .where(Station.active)
            .order_by(Station.name)
            .options(
                orm.joinedload(Station.shifts),
                orm.joinedload(Station.overtimes.and_(lately)),
                orm.joinedload(Station.downtimes.and_(lasts)),
            )
            .execution_options(populate_existing=True)
        ).unique()
    )


def stations_with_hours(session: orm.Session) -> list[Station]:
    """Return every station, in use or not, with its work center and shifts, in two statements."""
    return list(
        session.scalars(
            sa.select(Station)
            .join(Station.work_center)
            .order_by(*_IN_ORDER)
            .options(orm.contains_eager(Station.work_center), orm.selectinload(Station.shifts))
        )
    )


def downtimes_at(session: orm.Session, now: datetime) -> list[Downtime]:
    """Return the downtimes of stations in use that last at ``now``, with their stations, the longest first.

    A guessed end that has passed ends nothing until somebody says that the station is back.
    """
    return list(
        session.scalars(
            sa.select(Downtime)
            .join(Downtime.station)
            .where(Station.active, Downtime.starts_at <= now, sa.or_(Downtime.ends_at > now, Downtime.end_is_guess))
            .order_by(Downtime.starts_at, Downtime.id)
            .options(orm.contains_eager(Downtime.station))
        )
    )


def down_now(session: orm.Session, station: Station, now: datetime) -> list[Downtime]:
    """Return the downtimes of one station that last at ``now``, by start."""
    return list(session.scalars(DOWN_NOW, {"station_id": station.id, "now": now}))


DOWN_NOW = (
    sa.select(Downtime)
    .where(
        Downtime.station_id == sa.bindparam("station_id"),
        Downtime.starts_at <= sa.bindparam("now"),
        sa.or_(Downtime.ends_at > sa.bindparam("now"), Downtime.end_is_guess),
    )
    .order_by(Downtime.starts_at, Downtime.id)
)
"""Made once: whatever begins at a station asks it."""


def recent_downtimes(session: orm.Session, station: Station, since: datetime) -> list[Downtime]:
    """Return a station's downtimes that end after ``since`` or whose end is a guess, the latest first."""
    return list(
        session.scalars(
            sa.select(Downtime)
            .where(Downtime.station_id == station.id, sa.or_(Downtime.ends_at > since, Downtime.end_is_guess))
            .order_by(Downtime.starts_at.desc())
        )
    )


def recent_overtimes(session: orm.Session, station: Station, since: datetime) -> list[Overtime]:
    """Return a station's overtimes that end after ``since``, the latest first."""
    return list(
        session.scalars(
            sa.select(Overtime)
            .where(Overtime.station_id == station.id, Overtime.ends_at > since)
            .order_by(Overtime.starts_at.desc())
        )
    )


def get_downtime(session: orm.Session, station_id: int, downtime_id: int) -> Downtime:
    """Return one downtime of a station.

    Raises:
        StretchNotFoundError: the station has none with this key.
    """
    found = session.get(Downtime, downtime_id)
    if found is None or found.station_id != station_id:
        raise StretchNotFoundError
    return found


def get_overtime(session: orm.Session, station_id: int, overtime_id: int) -> Overtime:
    """Return one overtime of a station.

    Raises:
        StretchNotFoundError: the station has none with this key.
    """
    found = session.get(Overtime, overtime_id)
    if found is None or found.station_id != station_id:
        raise StretchNotFoundError
    return found


def first_overlap(
    session: orm.Session,
    kind: type[Stretch],
    stations: Sequence[Station],
    starts_at: datetime,
    ends_at: datetime,
    but: int = 0,
) -> Stretch | None:
    """Return the first stretch of any of ``stations`` that shares time with ``[starts_at, ends_at)``, save ``but``."""
    return session.scalars(
        sa.select(kind)
        .where(
            kind.station_id.in_([station.id for station in stations]),
            kind.starts_at < ends_at,
            kind.ends_at > starts_at,
            kind.id != but,
        )
        .order_by(kind.starts_at)
        .limit(1)
    ).first()


def next_station_number(session: orm.Session) -> int:
    """Return the next number for a station's scan code."""
    return next_number(CodeKind.STATION, session.scalar(sa.select(sa.func.max(Station.number))) or 0)
