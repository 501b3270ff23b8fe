"""Saying at the station that it is down, or back."""

from sqlalchemy import orm

from app.floor.services.sent import Sent, working
from app.stations import services as stations


def say_down(session: orm.Session, sent: Sent, reason: str) -> None:
    """Say that the station is down from now on; the end is a guess until somebody says that it is back.

    Raises:
        NobodySignedOnError: nobody is signed on.
        AlreadyDownError: it is down already.
    """
    with working(session, sent):
        stations.down_now(session, sent.station_id, sent.happened_at, reason=reason)


def say_back(session: orm.Session, sent: Sent) -> None:
    """Say that the station runs again.

    Raises:
        NobodySignedOnError: nobody is signed on.
        NotDownError: it is not down.
    """
    with working(session, sent):
        stations.back_now(session, sent.station_id, sent.happened_at)
