"""A station goes down, is expected back, and runs again: said as it happens, each with the key that counts once."""

from datetime import datetime

from sqlalchemy import orm

from app.shared.database import transaction
from app.stations import queries
from app.stations.errors import AlreadyDownError, GuessPassedError, LongDowntimeError, NotDownError
from app.stations.models import Downtime, Saying, Station
from app.stations.queries import Guess
from app.stations.services.said import Said, said_before
from app.stations.services.stretches import LONGEST_DOWNTIME


def down_now(session: orm.Session, station_id: int, said: Said, guess: Guess, reason: str = "") -> bool:
    """Say that a station has gone down; the guess is cut short where a planned downtime begins before it.

    Returns:
        Whether it is said now; False where the same key had said so before.

    Raises:
        StationNotFoundError: there is no such station.
        GuessPassedError: the guess is not after it went down.
        LongDowntimeError: it would be down for longer than a station that is in use.
        AlreadyDownError: it is down already.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        if said_before(session, station_id, said, Saying.DOWN, {"about": guess.about, "reason": reason}, reason):
            return False
        open_ones = queries.down_now(session, station, said.happened_at)
        if open_ones:
            raise AlreadyDownError(station.name, open_ones[0].starts_at)
        if guess.until <= said.happened_at:
            raise GuessPassedError
        ends_at = _until(session, station, said.happened_at, guess.until)
        downtime = Downtime(
            station_id=station.id, starts_at=said.happened_at, ends_at=ends_at, end_is_guess=True, reason=reason
        )
        session.add(downtime)
    return True


def guess_again(session: orm.Session, station_id: int, said: Said, guess: Guess) -> None:
    """Say that a station that is down will be back later, or sooner, than was thought.

    Raises:
        StationNotFoundError: there is no such station.
        GuessPassedError: the new guess has passed already.
        LongDowntimeError: it would be down for longer than a station that is in use.
        NotDownError: it is not down.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        if said_before(session, station_id, said, Saying.GUESS, {"about": guess.about}):
            return
        if guess.until <= said.recorded_at:
            raise GuessPassedError
        open_ones = queries.down_now(session, station, said.happened_at)
        if not open_ones:
            raise NotDownError(station.name)
        last = open_ones[-1]
        last.ends_at = _until(session, station, last.starts_at, guess.until, but=last.id)
        last.end_is_guess = True


def back_now(session: orm.Session, station_id: int, said: Said) -> None:
    """Say that a station runs again: what keeps it down ends now.

    Raises:
        StationNotFoundError: there is no such station.
        NotDownError: it is not down.
    """
    with transaction(session):
        station = queries.get_station(session, station_id, lock=True)
        if said_before(session, station_id, said, Saying.BACK, {}):
            return
        open_ones = queries.down_now(session, station, said.happened_at)
        if not open_ones:
            raise NotDownError(station.name)
        for downtime in open_ones:
            _end(session, station, downtime, said.happened_at)


def _until(session: orm.Session, station: Station, since: datetime, until: datetime, but: int = 0) -> datetime:
    """Return the guess, or where the next downtime of the station begins if that is sooner.

    Raises:
        LongDowntimeError: the guess is too far ahead.
    """
    if until - since > LONGEST_DOWNTIME:
        raise LongDowntimeError(LONGEST_DOWNTIME.days)
    planned = queries.first_overlap(session, Downtime, [station], since, until, but)
    return planned.starts_at if planned is not None and planned.starts_at > since else until


def _end(session: orm.Session, station: Station, downtime: Downtime, at: datetime) -> None:
    """End a downtime at a moment, or where the next one of the station begins; one that began no earlier goes."""
    if downtime.starts_at >= at:
        session.delete(downtime)
        return
    later = queries.first_overlap(session, Downtime, [station], downtime.starts_at, at, but=downtime.id)
    downtime.ends_at = later.starts_at if later is not None else at
    downtime.end_is_guess = False
