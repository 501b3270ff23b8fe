"""Saying that a station is down, when it is back, and that it runs again; and moving the lots behind it."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.services.sent import Sent, keyed, said, working
from app.lots import services as ledger
from app.lots.models import Job, JobState, Sending
from app.lots.services import Act
from app.stations import services as stations
from app.stations.queries import Guess


def say_down(session: orm.Session, sent: Sent, guess: Guess, reason: str) -> None:
    """Say that the station is down from now on, until about when; what runs there is paused.

    Raises:
        NobodySignedOnError: nobody is signed on.
        GuessPassedError: the guess lies in the past.
        AlreadyDownError: it is down already.
    """
    with working(session, sent) as act:
        if stations.down_now(session, sent.station_id, said(act), guess, reason):
            _pause_all(session, act)


def _pause_all(session: orm.Session, act: Act) -> None:
    paused: set[int] = set()
    running = sa.select(Job).where(Job.station_id == act.station_id, Job.state != JobState.PAUSED).order_by(Job.id)
    for job in session.scalars(running).all():
        batch = job.batch_id or -job.id
        if batch not in paused:  # the lots of a batch pause together
            paused.add(batch)
            ledger.pause(session, keyed(act, f"pause {job.operation_id}"), job.operation_id)


def guess_again(session: orm.Session, sent: Sent, guess: Guess) -> None:
    """Say when the station, which is down, will be back after all.

    Raises:
        NobodySignedOnError: nobody is signed on.
        GuessPassedError: the guess lies in the past.
        NotDownError: it is not down.
    """
    with working(session, sent) as act:
        stations.guess_again(session, sent.station_id, said(act), guess)


def say_back(session: orm.Session, sent: Sent) -> None:
    """Say that the station runs again.

    Raises:
        NobodySignedOnError: nobody is signed on.
        NotDownError: it is not down.
    """
    with working(session, sent) as act:
        stations.back_now(session, sent.station_id, said(act))


def send_to_other_station(session: orm.Session, sent: Sent, operation_id: int, station_id: int, reason: str) -> Sending:
    """Send a lot that waits behind this station to another one of the work center.

    Raises:
        NobodySignedOnError: nobody is signed on.
        LedgerError, NotOfTheCenterError: it cannot be sent there.
    """
    with working(session, sent) as act:
        return ledger.send_to_station(session, act, operation_id, station_id, reason)


def let_go(session: orm.Session, sent: Sent, operation_id: int) -> Sending:
    """Let a lot that was sent to one station run at any of the work center again.

    Raises:
        NobodySignedOnError: nobody is signed on.
        NotSentError: it is not sent anywhere.
    """
    with working(session, sent) as act:
        return ledger.let_go(session, act, operation_id)
