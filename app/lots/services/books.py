"""Writing in the piece ledger: every move is checked, appended, and counted in the same transaction."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm
from sqlalchemy.orm.attributes import set_committed_value

from app.lots.errors import LotNotFoundError, OperationNotFoundError, SkippedError, TooManyPiecesError
from app.lots.models import AT_AN_OPERATION, OUTSIDE, Entry, Job, Lot, LotComponent, LotOperation, Place, Posting, Verb
from app.lots.queries.names import operation_name
from app.lots.services.acts import Act, content_hash
from app.lots.services.jobs import refresh_jobs
from app.shared.at_once import insert_now
from app.shared.database import table_of
from app.shared.words import gettext

AT_OPERATION_COLUMN = {
    Place.WAITING: "waiting",
    Place.IN_WORK: "in_work",
    Place.COUNTED: "counted",
    Place.HELD: "held",
    Place.SCRAPPED: "scrapped",
    Place.AT_VENDOR: "at_vendor",
}
LEFT_OUT = frozenset({Place.SCRAPPED, Place.AT_VENDOR})
"""Where pieces of an operation that the lot passes over may go: nobody works on them any more."""
OF_LOT_COLUMN = {Place.IN_STOCK: "in_stock", Place.SHIPPED: "shipped", Place.OTHER_LOT: "in_other_lots"}


@dataclass(frozen=True, slots=True)
class Spot:
    """A place of a lot; places at an operation name it."""

    place: Place
    operation: LotOperation | None = None

    def __str__(self) -> str:
        where = f"{operation_name(self.operation)}, " if self.operation else ""
        return f"{where}{gettext(self.place.value)}"


@dataclass(frozen=True, slots=True)
class Move:
    """``quantity`` pieces of ``lot`` from one spot to another; 0 makes a mark."""

    lot: Lot
    quantity: int
    origin: Spot
    target: Spot
    cause: LotOperation | None = None
    other_lot_id: int | None = None
    receipt_id: int | None = None
    station_id: int | None = None
    reason: str = ""


def at(operation: LotOperation, place: Place) -> Spot:
    """Return a spot at an operation."""
    return Spot(place, operation)


def mark(operation: LotOperation, station_id: int | None) -> Move:
    """Return an entry that moves nothing and says that something happened at an operation."""
    here = at(operation, Place.IN_WORK)
    return Move(operation.lot, 0, here, here, station_id=station_id)


def write(
    session: orm.Session,
    act: Act,
    verb: Verb,
    content: dict[str, Any],
    moves: Iterable[Move],
    reverses_id: int | None = None,
) -> Posting:
    """Append one posting with its entries; bring counts, open jobs and closed lots up to date. The lots must be locked.

    Raises:
        TooManyPiecesError: a spot has fewer pieces than are to be taken from it.
        SkippedError: pieces would come to an operation that the lot passes over.
    """
    made, counted = [], set[LotOperation]()
    for move in moves:
        counted.update(carry(move))
        made.append(move)
    posting = Posting(
        verb=verb,
        client_key=act.key,
        content_hash=content_hash(verb, content),
        happened_at=act.happened_at,
        recorded_at=act.recorded_at,
        person_id=act.person_id,
        recorded_by_id=act.recorded_by_id or act.person_id,
        station_id=act.station_id,
        reason=act.note,
        is_estimate=act.is_estimate,
        reverses_id=reverses_id,
    )
    insert_now(session, posting)
    set_committed_value(posting, "entries", [_entry(session, posting, move) for move in made])
    _keep_counts(session, counted)
    refresh_jobs(session, posting.entries)
    for move in made:
        _close_or_reopen(move.lot, act)
    return posting


COUNTS = (*AT_OPERATION_COLUMN.values(), "passed")
_operations = table_of(LotOperation)
KEEP_COUNTS = (
    sa.update(_operations)
    .where(_operations.c.id == sa.bindparam("key"))
    .values({name: sa.bindparam(f"now_{name}") for name in COUNTS})
)


def _keep_counts(session: orm.Session, operations: Iterable[LotOperation]) -> None:
    """Store the counts at some operations at once: a flush would first look through all that hangs on each of them."""
    rows = [{"key": each.id, **{f"now_{name}": getattr(each, name) for name in COUNTS}} for each in operations]
    if rows:
        session.connection().execute(KEEP_COUNTS, sorted(rows, key=itemgetter("key")))


def _close_or_reopen(lot: Lot, act: Act) -> None:
    closed = not any(operation.present for operation in lot.operations)
    if closed != (lot.closed_at is not None):
        lot.closed_at = act.recorded_at if closed else None


def _entry(session: orm.Session, posting: Posting, move: Move) -> Entry:
    entry = Entry(
        posting_id=posting.id,
        lot_id=move.lot.id,
        quantity=move.quantity,
        from_place=move.origin.place,
        from_operation_id=move.origin.operation.id if move.origin.operation else None,
        to_place=move.target.place,
        to_operation_id=move.target.operation.id if move.target.operation else None,
        cause_operation_id=move.cause.id if move.cause else None,
        other_lot_id=move.other_lot_id,
        receipt_id=move.receipt_id,
        station_id=move.station_id,
        reason=move.reason,
    )
    insert_now(session, entry)
    # Known already: nobody who looks at the entry reads them again.
    set_committed_value(entry, "posting", posting)
    set_committed_value(entry, "lot", move.lot)
    set_committed_value(entry, "from_operation", move.origin.operation)
    set_committed_value(entry, "to_operation", move.target.operation)
    return entry


def carry(move: Move) -> Iterator[LotOperation]:
    """Move the pieces in the cached counts; yield the operations at which some have changed.

    Raises:
        TooManyPiecesError: the origin has fewer.
        SkippedError: the lot passes over the target.
        ValueError: a negative quantity, or an operation that the place does not go with.
    """
    if move.quantity < 0:
        raise ValueError("a move takes no negative quantity; undo reverses an entry")
    for spot in (move.origin, move.target):
        if (spot.place in AT_AN_OPERATION) != (spot.operation is not None):
            raise ValueError(f"{spot.place} does not go with operation {spot.operation}")
    there = pieces_at(move.lot, move.origin)
    if there is not None and there < move.quantity:
        raise TooManyPiecesError(move.quantity, there, str(move.origin))
    target = move.target.operation
    if move.quantity and target and target.skipped and move.target.place not in LEFT_OUT:
        raise SkippedError(operation_name(target))
    if move.quantity:
        yield from _add(move.lot, move.origin, -move.quantity)
        yield from _add(move.lot, move.target, move.quantity)
        yield from _pass(move)


def pieces_at(lot: Lot, spot: Spot) -> int | None:
    """Return how many pieces are at a spot; None outside the shop, where there is no end of them."""
    if spot.place in OUTSIDE:
        return None
    if spot.operation is not None:
        return int(getattr(spot.operation, AT_OPERATION_COLUMN[spot.place]))
    return int(getattr(lot, OF_LOT_COLUMN[spot.place]))


def _add(lot: Lot, spot: Spot, quantity: int) -> Iterator[LotOperation]:
    if spot.place is Place.STARTED:
        lot.started -= quantity
    elif spot.operation is not None:
        yield _count(spot.operation, AT_OPERATION_COLUMN[spot.place], quantity)
    elif spot.place in OF_LOT_COLUMN:
        column = OF_LOT_COLUMN[spot.place]
        setattr(lot, column, getattr(lot, column) + quantity)


def _count(operation: LotOperation, name: str, more: int) -> LotOperation:
    set_committed_value(operation, name, getattr(operation, name) + more)  # ``_keep_counts`` stores it, not a flush
    return operation


def _pass(move: Move) -> Iterator[LotOperation]:
    """Count who went past each operation: forward adds, rework takes back."""
    first, last = _position(move, move.origin), _position(move, move.target)
    step, low, high = (1, first, last) if last >= first else (-1, last, first)
    for operation in move.lot.operations[low:high]:
        yield _count(operation, "passed", step * move.quantity)


def _position(move: Move, spot: Spot) -> int:
    if spot.operation is not None:
        return move.lot.operations.index(spot.operation)
    if spot.place in {Place.IN_STOCK, Place.SHIPPED}:
        return len(move.lot.operations)
    if spot.place is Place.OTHER_LOT:
        other_end = move.origin if spot is move.target else move.target
        return _position(move, other_end)
    return 0


def next_spot(operation: LotOperation) -> Spot:
    """Return where good pieces go from an operation: waiting at the next one, or finished into stock."""
    following = [each for each in operation.lot.operations if each.number > operation.number and not each.skipped]
    return at(following[0], Place.WAITING) if following else Spot(Place.IN_STOCK)


def _for_update(which: sa.ColumnElement[bool]) -> sa.Select[Lot]:
    return (
        sa.select(Lot)
        .outerjoin(Lot.operations)
        .outerjoin(LotOperation.jobs)
        .outerjoin(LotOperation.components)
        .where(which)
        .order_by(Lot.id, LotOperation.number, Job.id, LotComponent.id)
        .options(
            orm.contains_eager(Lot.operations).options(
                orm.contains_eager(LotOperation.jobs), orm.contains_eager(LotOperation.components)
            )
        )
        .with_for_update(of=Lot)
        .execution_options(populate_existing=True)
    )


# Made once: every use case of the ledger begins with one of them.
LOTS = _for_update(Lot.id.in_(sa.bindparam("keys", expanding=True)))
_named = orm.aliased(LotOperation)
LOTS_OF_OPERATIONS = _for_update(
    Lot.id.in_(sa.select(_named.lot_id).where(_named.id.in_(sa.bindparam("keys", expanding=True))))
)
LOT_OF_OPERATION = _for_update(
    Lot.id == sa.select(_named.lot_id).where(_named.id == sa.bindparam("key")).scalar_subquery()
)
"""The same for one: a list of keys is spelled out anew each time."""


def lock_lots(session: orm.Session, lot_ids: Iterable[int]) -> dict[int, Lot]:
    """Read lots under lock with their operations, open jobs and components.

    Always in the same order, so that two never wait for each other.

    Raises:
        LotNotFoundError: one does not exist.
    """
    wanted = sorted(set(lot_ids))
    lots = _locked(session, LOTS, {"keys": wanted})
    for missing in [key for key in wanted if key not in lots]:
        raise LotNotFoundError(str(missing))
    return lots


def _locked(session: orm.Session, chosen: sa.Select[Lot], keys: dict[str, Any]) -> dict[int, Lot]:
    lots = {lot.id: lot for lot in session.scalars(chosen, keys).unique()}
    for lot in lots.values():
        for operation in lot.operations:
            # Held on to, or the session forgets the lot while only its operations are used, and reads it again.
            set_committed_value(operation, "lot", lot)
    return lots


def lock_lot(session: orm.Session, lot_id: int) -> Lot:
    """Read one lot with its operations under lock.

    Raises:
        LotNotFoundError: it does not exist.
    """
    return lock_lots(session, [lot_id])[lot_id]


def lock_operations(session: orm.Session, operation_ids: Sequence[int]) -> list[LotOperation]:
    """Lock the lots of some operations and return the operations in the order asked for.

    Raises:
        OperationNotFoundError: one does not exist.
    """
    if len(operation_ids) == 1:
        lots = _locked(session, LOT_OF_OPERATION, {"key": operation_ids[0]})
    else:
        lots = _locked(session, LOTS_OF_OPERATIONS, {"keys": operation_ids})
    by_id = {operation.id: operation for lot in lots.values() for operation in lot.operations}
    for missing in [key for key in operation_ids if key not in by_id]:
        raise OperationNotFoundError(str(missing))
    return [by_id[key] for key in operation_ids]
