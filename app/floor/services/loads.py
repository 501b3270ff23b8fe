"""Collecting the lots of one load, a pallet or a batch, by scanning them, and beginning them together."""

from collections.abc import Sequence

from sqlalchemy import orm

from app.core.scan_code import CodeKind
from app.floor import queries
from app.floor.errors import AlreadyCollectedError, NoLoadsHereError, NothingCollectedError
from app.floor.services.sent import Sent, working
from app.lots import services as ledger
from app.lots.models import LotOperation, Posting, Verb
from app.lots.queries.loads import SHARED
from app.lots.queries.names import lot_name
from app.shared.codes import CodeRefusedError, read_code
from app.shared.words import gettext
from app.stations.queries import get_station


def collect(session: orm.Session, station_id: int, collected: Sequence[int], text: str) -> LotOperation:
    """Return the operation that a scanned lot or operation adds to a load; nothing is begun yet.

    Raises:
        CodeRefusedError, NotFoundError: the code cannot be read or stands for nothing that runs.
        NoLoadsHereError: the lot has no operation here that runs in loads.
        AlreadyCollectedError: it was scanned before.
    """
    code = read_code(text)
    station = get_station(session, station_id)
    if code.kind is CodeKind.OPERATION:
        operation = queries.operation_by_number(session, code)
        lot = operation.lot
    elif code.kind is CodeKind.LOT:
        lot = queries.lot_by_number(session, code)
        fitting = queries.fitting_operation(session, lot, station.id, station.work_center_id)
        if fitting is None:
            raise NoLoadsHereError(lot_name(lot))
        operation = queries.operation_at(session, fitting.id)
    else:
        raise CodeRefusedError(gettext("Scan the codes of the lots that go into the load together."))
    if operation.taking not in SHARED:
        raise NoLoadsHereError(lot_name(lot))
    if operation.id in collected:
        raise AlreadyCollectedError(lot_name(lot))
    return operation


def begin_load(session: orm.Session, sent: Sent, operation_ids: Sequence[int], pieces: Sequence[int] = ()) -> Posting:
    """Begin the collected lots together as one load, with so many ``pieces`` of each; none: as many as fit.

    Raises:
        NothingCollectedError: none were collected.
        NobodySignedOnError: nobody is signed on.
        LedgerError: they cannot share a load, or one of them cannot begin.
    """
    if not operation_ids:
        raise NothingCollectedError
    operations = [queries.operation_at(session, each) for each in operation_ids]
    setup = any(queries.needs_setup(session, sent.station_id, each) for each in operations)
    kept = queries.kept_posting(session, sent.key)
    if kept is not None:
        setup = kept.verb is Verb.BEGIN_SETUP
    with working(session, sent) as act:
        return ledger.begin(session, act, operation_ids, pieces=pieces, setup=setup, anyway=sent.remedies.anyway)
