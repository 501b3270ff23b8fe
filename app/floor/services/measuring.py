"""Measuring at a station, by the person who is signed on there."""

from sqlalchemy import orm

from app.floor.services.sent import Sent, doer, working
from app.floor.services.undoing import refuse_without_role
from app.lots import services as ledger
from app.lots.models import Lot
from app.quality import queries as quality_queries
from app.quality import services as quality
from app.quality.services import NewReading, Recorded
from app.shared.words import gettext


def take_reading(session: orm.Session, sent: Sent, operation_id: int, new: NewReading) -> Recorded:
    """Keep a reading.

    Raises:
        NobodySignedOnError: nobody is signed on.
        MeasuringRefusedError: it makes no sense, or needs a question answered.
    """
    with working(session, sent) as act:
        return quality.record_reading(session, act, operation_id, new)


def strike_reading(session: orm.Session, sent: Sent, reading_id: int, reason: str) -> None:
    """Strike a wrong reading out.

    Raises:
        NobodySignedOnError: nobody is signed on.
        MayNotStrikeError: it is bad and open, which takes an inspector or owner.
        MeasuringRefusedError: no reason is given, or it is struck out already.
    """
    with working(session, sent) as act:
        quality.strike_reading(session, act, reading_id, reason, doer(session, act))


def say_all_checked(session: orm.Session, sent: Sent, operation_id: int) -> int:
    """Keep that all pieces made by now were checked; return how many.

    Raises:
        NobodySignedOnError: nobody is signed on.
        MeasuringRefusedError: no pieces are there.
    """
    with working(session, sent) as act:
        return quality.say_all_checked(session, act, operation_id).pieces


def say_made(session: orm.Session, sent: Sent, operation_id: int, made: int) -> None:
    """Correct how many pieces of an operation are made by now; it is a count of the open job.

    Raises:
        NobodySignedOnError: nobody is signed on.
        LedgerError: it is not open here, or that many cannot be made.
    """
    with working(session, sent) as act:
        operation = quality_queries.measured_operation(session, operation_id)
        done = quality_queries.made_so_far(operation).done
        ledger.count_so_far(session, act, operation_id, made - done)


def let_go_on(session: orm.Session, sent: Sent, operation_id: int, reason: str) -> None:
    """Let the pieces be signed off without their readings.

    Raises:
        NobodySignedOnError: nobody is signed on.
        MeasuringRefusedError: the person is no inspector, gives no reason, or nothing is missing.
    """
    with working(session, sent) as act:
        quality.waive_readings(session, act, operation_id, reason, doer(session, act))


def split_suspects(session: orm.Session, sent: Sent, nonconformance_id: int) -> Lot:
    """Split the suspect pieces off and let the rest of the lot go on.

    Raises:
        NobodySignedOnError: nobody is signed on.
        RoleNeededError: it takes a setup lead, an inspector or an owner.
        PlainError: they cannot be split off.
    """
    with working(session, sent) as act:
        refuse_without_role(session, act, gettext("Letting the rest of the lot go on"))
        return quality.split_suspects(session, act, nonconformance_id)
