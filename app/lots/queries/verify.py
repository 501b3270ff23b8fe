"""Recomputing every cached count from the ledger alone."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import NamedTuple

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import OUTSIDE, Entry, Job, Lot, LotOperation, Place, Posting, Sending, Verb
from app.lots.queries.jobs import JobFacts, fold_job, job_lines
from app.lots.queries.names import lot_name, operation_name
from app.shared.progress import Progress, silent

ENTRIES_AT_A_TIME = 5_000

COUNTED_AT_OPERATIONS = {
    "waiting": Place.WAITING,
    "in_work": Place.IN_WORK,
    "counted": Place.COUNTED,
    "held": Place.HELD,
    "scrapped": Place.SCRAPPED,
    "at_vendor": Place.AT_VENDOR,
}
COUNTED_FOR_LOTS = {"in_stock": Place.IN_STOCK, "shipped": Place.SHIPPED, "in_other_lots": Place.OTHER_LOT}

ENTRIES = sa.select(
    Entry.lot_id,
    Entry.quantity,
    Entry.from_place,
    Entry.from_operation_id,
    Entry.to_place,
    Entry.to_operation_id,
)


class Difference(NamedTuple):
    """A cached value that is not what the ledger says."""

    where: str
    what: str
    cached: object
    ledger: object

    def __str__(self) -> str:
        return f"{self.where}: {self.what} is {self.cached}, the ledger says {self.ledger}"


class Tally:
    """What the entries add up to."""

    def __init__(self, positions: dict[int, tuple[int, int]]) -> None:
        """Begin with nothing; ``positions`` gives lot and place in the routing of each operation."""
        self.positions = positions
        self.at_operation: Counter[tuple[int, Place]] = Counter()
        self.of_lot: Counter[tuple[int, Place]] = Counter()
        self.crossings: defaultdict[int, Counter[tuple[int, int]]] = defaultdict(Counter)

    def add(self, entry: sa.Row[int, int, Place, int | None, Place, int | None]) -> None:
        """Count one entry: lot, quantity, from, its operation, to, its operation."""
        lot_id, quantity, from_place, from_operation, to_place, to_operation = entry
        self._put(lot_id, from_place, from_operation, -quantity)
        self._put(lot_id, to_place, to_operation, quantity)
        first = self._position(from_place, from_operation, to_operation)
        last = self._position(to_place, to_operation, from_operation)
        if first != last:
            self.crossings[lot_id][first, last] += quantity

    def _put(self, lot_id: int, place: Place, operation: int | None, quantity: int) -> None:
        if operation is None:
            self.of_lot[lot_id, place] += quantity
        else:
            self.at_operation[operation, place] += quantity

    def _position(self, place: Place, operation: int | None, other_end: int | None) -> int:
        if operation is not None:
            return self.positions[operation][1]
        if place in OUTSIDE:
            return 0
        if place is Place.OTHER_LOT and other_end is not None:
            return self.positions[other_end][1]
        return 1_000

    def passed(self, operation_id: int) -> int:
        """Return how many pieces the entries carried past an operation, less those they brought back."""
        lot_id, here = self.positions[operation_id]
        return sum(
            quantity * ((first <= here < last) - (last <= here < first))
            for (first, last), quantity in self.crossings[lot_id].items()
        )


def differences(session: orm.Session, tell: Progress = silent) -> Iterator[Difference]:
    """Compare every cached count of lots and operations, and every open job, with the ledger.

    Args:
        session: the database session.
        tell: told how many of the ledger's entries are read.
    """
    lots = session.scalars(sa.select(Lot).options(orm.selectinload(Lot.operations)).order_by(Lot.number)).all()
    tally = _tally(session, positions_of(session), tell)
    holds = _holds(session)
    for lot in lots:
        yield from _of_lot(lot, tally, holds)
        for operation in lot.operations:
            yield from _of_operation(operation, tally)
    yield from _of_removed(session, tally)
    yield from _of_jobs(session)
    yield from _of_sendings(session)


def positions_of(session: orm.Session, lot_id: int | None = None) -> dict[int, tuple[int, int]]:
    """Return the lot of each operation and its place in the routing, of one lot or all; one statement.

    What was removed keeps its place, before what came instead of it, for pieces that left the lot from there.
    """
    rows = sa.select(LotOperation.id, LotOperation.lot_id).order_by(
        LotOperation.lot_id, LotOperation.number, ~LotOperation.removed, LotOperation.id
    )
    rows = rows.where(LotOperation.lot_id == lot_id) if lot_id is not None else rows
    places: Counter[int] = Counter()
    found = {}
    for operation_id, of_lot in session.execute(rows):
        found[operation_id] = of_lot, places[of_lot]
        places[of_lot] += 1
    return found


def passed_by_ledger(session: orm.Session, lot: Lot) -> dict[int, int]:
    """Return how many pieces of a lot have gone past each of its operations, in their order now; two statements."""
    tally = Tally(positions_of(session, lot.id))
    for entry in session.execute(ENTRIES.where(Entry.lot_id == lot.id)):
        tally.add(entry)
    return {operation.id: tally.passed(operation.id) for operation in lot.operations}


def _tally(session: orm.Session, positions: dict[int, tuple[int, int]], tell: Progress) -> Tally:
    tally = Tally(positions)
    total = session.scalars(sa.select(sa.func.count()).select_from(Entry)).one()
    for done, entry in enumerate(session.execute(ENTRIES.execution_options(yield_per=ENTRIES_AT_A_TIME)), 1):
        tally.add(entry)
        if done % ENTRIES_AT_A_TIME == 0:
            tell(done, total)
    return tally


def _of_lot(lot: Lot, tally: Tally, holds: dict[int, str]) -> Iterator[Difference]:
    found = {column: tally.of_lot[lot.id, place] for column, place in COUNTED_FOR_LOTS.items()}
    found["started"] = -tally.of_lot[lot.id, Place.STARTED]
    for column, ledger in found.items():
        if getattr(lot, column) != ledger:
            yield Difference(lot_name(lot), column, getattr(lot, column), ledger)
    if lot.on_hold != (lot.id in holds):
        yield Difference(lot_name(lot), "hold", lot.hold_reason, holds.get(lot.id, ""))
    open_pieces = sum(operation.present for operation in lot.operations)
    if (lot.closed_at is None) != (open_pieces > 0):
        yield Difference(lot_name(lot), "closed", lot.closed_at, f"{open_pieces} pieces at operations")


def _of_removed(session: orm.Session, tally: Tally) -> Iterator[Difference]:
    """No piece is left at what was removed from a lot's routing."""
    for operation in session.scalars(sa.select(LotOperation).where(LotOperation.removed)):
        for column, place in COUNTED_AT_OPERATIONS.items():
            ledger = tally.at_operation[operation.id, place]
            if ledger or getattr(operation, column):
                yield Difference(operation_name(operation), column, getattr(operation, column), ledger)


def _of_operation(operation: LotOperation, tally: Tally) -> Iterator[Difference]:
    found = {column: tally.at_operation[operation.id, place] for column, place in COUNTED_AT_OPERATIONS.items()}
    found["passed"] = tally.passed(operation.id)
    for column, ledger in found.items():
        if getattr(operation, column) != ledger:
            yield Difference(operation_name(operation), column, getattr(operation, column), ledger)


def _holds(session: orm.Session) -> dict[int, str]:
    """Return the lots whose last mark about the whole lot is a hold, with its reason."""
    undone = sa.select(Posting.reverses_id).where(Posting.reverses_id.is_not(None))
    marks = session.execute(
        sa.select(Entry.lot_id, Posting.verb, Entry.reason)
        .join(Entry.posting)
        .where(
            Entry.quantity == 0,
            Entry.from_place == Place.STARTED,
            Posting.reverses_id.is_(None),
            Posting.id.not_in(undone),
        )
        .order_by(Posting.happened_at, Posting.recorded_at, Posting.id)
    )
    last = {lot_id: (verb, reason) for lot_id, verb, reason in marks}
    return {lot_id: reason for lot_id, (verb, reason) in last.items() if verb is Verb.HOLD}


def _of_jobs(session: orm.Session) -> Iterator[Difference]:
    worked = sa.select(LotOperation).where(LotOperation.in_work + LotOperation.counted > 0)
    jobs = session.scalars(sa.select(Job)).all()
    pieces: Counter[int] = Counter()
    for job in jobs:
        pieces[job.operation_id] += job.pieces
        facts = fold_job(job_lines(session, job.operation_id, job.station_id))
        cached = JobFacts(**{name: getattr(job, name) for name in JobFacts.__slots__})
        if facts != cached:
            yield Difference(operation_name(job.operation), f"job at {job.station.name}", cached, facts)
    for operation in session.scalars(worked):
        if pieces[operation.id] != operation.in_work + operation.counted:
            at_stations = operation.in_work + operation.counted
            yield Difference(operation_name(operation), "pieces of open jobs", pieces[operation.id], at_stations)


def _of_sendings(session: orm.Session) -> Iterator[Difference]:
    """Compare where each operation is sent with the last word about it."""
    rows = session.execute(sa.select(Sending.operation_id, Sending.station_id).order_by(Sending.id))
    last: dict[int, int | None] = {row.operation_id: row.station_id for row in rows}
    sent = sa.select(LotOperation).where(
        sa.or_(LotOperation.sent_to_station_id.is_not(None), LotOperation.id.in_(sa.select(Sending.operation_id)))
    )
    for operation in session.scalars(sent):
        if operation.sent_to_station_id != last.get(operation.id):
            cached = operation.sent_to_station_id
            yield Difference(operation_name(operation), "sent to station", cached, last.get(operation.id))
