"""Whether a station must be set up for an operation."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotOperation, Posting, Verb

AT_WORK = (Verb.BEGIN_SETUP, Verb.BEGIN_RUN, Verb.FIRST_PIECE, Verb.COUNT, Verb.SEND_AHEAD, Verb.SIGN_OFF)


def needs_setup(session: orm.Session, station_id: int, operation: LotOperation) -> bool:
    """Say whether the station is to be set up for the operation.

    It is not where the routing gives no time for it, nor where the station worked last on the same operation of the
    same revision.
    """
    if not operation.setup_seconds:
        return False
    return last_worked(session, station_id) != (operation.lot.revision_id, operation.number)


def last_worked(session: orm.Session, station_id: int) -> tuple[int, int] | None:
    """Return revision and operation number of what a station worked on last, leaving out what was undone."""
    undoing = orm.aliased(Posting)
    row = session.execute(
        sa.select(Lot.revision_id, LotOperation.number)
        .select_from(Posting)
        .join(Posting.entries)
        .join(LotOperation, LotOperation.id == Entry.from_operation_id)
        .join(Lot, Lot.id == LotOperation.lot_id)
        .where(
            Posting.station_id == station_id,
            Posting.verb.in_(AT_WORK),
            ~sa.exists().where(undoing.reverses_id == Posting.id),
        )
        .order_by(Posting.happened_at.desc(), Posting.id.desc(), Entry.id.desc())
        .limit(1)
    ).first()
    return (row[0], row[1]) if row else None
