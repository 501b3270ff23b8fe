"""Rows of paper worked out on a copy of the books: what each moves, where, and what cannot be true."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from app.lots.errors import (
    BeforeReleaseError,
    BegunAfterDoneError,
    ComesLaterError,
    EntryInTheWayError,
    FirstPieceError,
    InTheFutureError,
    LedgerError,
    NotThereThenError,
    ReasonMissingError,
    RowsOutOfOrderError,
    StationMissingError,
)
from app.lots.models import Lot, LotOperation, Place, Verb
from app.lots.queries.jobs import AT_THE_STATION, Source, draw
from app.lots.queries.names import lot_name, operation_name
from app.lots.queries.planned import batch_pieces
from app.lots.queries.timeline import Stand, Timeline, posting_words
from app.lots.services.books import Move, Spot, at, mark, next_spot
from app.lots.services.components import ComponentSource
from app.parts.models import Taking
from app.shared.errors import PlainError, Problem
from app.shared.words import gettext, moment


@dataclass(frozen=True, slots=True)
class PaperRow:
    """One line of a traveler: what somebody did at an operation, as it was written down by hand.

    Attributes:
        place: the row's name on its form, such as ``rows-3``; a problem says which of its fields it is about.
        operation_id: the operation.
        person_id: who did it.
        begun_at: when it was begun; None: not written down.
        done_at: when it was done; None: it was not, so that the pieces are still in work.
        good: good pieces.
        scrap: scrapped pieces.
        reason: why they are scrap.
        station_id: where, as far as anybody knows.
        first_piece: the first piece was found good.
        components: the lots and receipts that its components came from.
    """

    place: str
    operation_id: int
    person_id: int | None
    begun_at: datetime | None = None
    done_at: datetime | None = None
    good: int = 0
    scrap: int = 0
    reason: str = ""
    station_id: int | None = None
    first_piece: bool = False
    components: tuple[ComponentSource, ...] = ()

    @property
    def pieces(self) -> int:
        """Return how many pieces came out of it."""
        return self.good + self.scrap

    def problem(self, field: str, error: PlainError) -> Problem:
        """Say what is wrong with one of its fields."""
        return Problem(f"{self.place}-{field}", error)


@dataclass(frozen=True, slots=True)
class Step:
    """One entry that a row makes: set down as ``verb`` at ``when``."""

    row: PaperRow
    operation: LotOperation
    verb: Verb
    when: datetime
    moves: tuple[Move, ...] = ()


class Books:
    """What the books have of one lot, with what the rows so far have added. Rows come in the order they happened.

    What a row takes must have lain there at its time and lie there still: then it goes before all that the books have
    later, and no count was ever less than nothing.
    """

    def __init__(self, timeline: Timeline) -> None:
        self.timeline = timeline
        self._added: Counter[Stand] = Counter()

    def carry(self, move: Move) -> None:
        """Take a row's move into account for those after it."""
        for spot, sign in ((move.origin, -1), (move.target, 1)):
            if spot.operation is not None:
                self._added[Stand.of(spot.operation.id, spot.place, move.station_id)] += sign * move.quantity

    def waiting(self, operation: LotOperation, when: datetime) -> int:
        """Return how many pieces waited at a moment and can be taken."""
        return self._free(Stand(operation.id, Place.WAITING), when)

    def sources(self, operation: LotOperation, station_id: int | None, when: datetime) -> list[Source]:
        """Return where pieces can be taken from: the station's job first, then waiting, then other jobs."""
        found = [Source(stand.place, self._free(stand, when), stand.station_id) for stand in self._movable(operation)]

        def rank(source: Source) -> tuple[bool, bool, int, bool]:
            elsewhere = source.place in AT_THE_STATION and source.station_id != station_id
            waits = source.place is Place.WAITING
            return elsewhere, waits, source.station_id or 0, source.place is Place.IN_WORK

        return sorted(found, key=rank)

    def shortage(
        self, operation: LotOperation, asked: int, when: datetime, stands: Sequence[Stand] = ()
    ) -> LedgerError:
        """Say why ``asked`` pieces cannot be taken at a moment: never there, only later, or taken by another entry."""
        stands = stands or self._movable(operation)
        there = sum(self.timeline.at(stand, when) + self._added[stand] for stand in stands)
        where = operation_name(operation)
        taker = self.timeline.taker(stands, when)
        if asked <= there and taker is not None:
            free = sum(self._free(stand, when) for stand in stands)
            return EntryInTheWayError(asked - free, where, posting_words(taker))
        bringer = self.timeline.bringer([Stand(operation.id, Place.WAITING)], when)
        if bringer is not None:
            return ComesLaterError(where, posting_words(bringer))
        return NotThereThenError(asked, max(0, there), where)

    def _free(self, stand: Stand, when: datetime) -> int:
        return self.timeline.from_then_on(stand, when) + self._added[stand]

    def _movable(self, operation: LotOperation) -> list[Stand]:
        known = {*self.timeline.stands(operation.id), *self._added, Stand(operation.id, Place.WAITING)}
        places = AT_THE_STATION | {Place.WAITING}
        return sorted(
            (each for each in known if each.operation_id == operation.id and each.place in places),
            key=lambda stand: (stand.place, stand.station_id or 0),
        )


class Working:
    """Works rows out in the order in which they happened, gathering what is wrong."""

    def __init__(self, books: dict[int, Books], now: datetime) -> None:
        self._books = books
        self._now = now
        self._checked: set[int] = set()
        self.problems: list[Problem] = []
        self.steps: list[Step] = []

    def work_out(self, rows: Sequence[tuple[PaperRow, LotOperation]]) -> None:
        """Work out all rows; ``steps`` are then in the ledger's order."""
        settled = [(self._settled(row, operation), operation) for row, operation in rows]
        self._check_order(settled)
        begun = [(row.begun_at, index, row, operation) for index, (row, operation) in enumerate(settled)]
        done = [(row.done_at, index, row, operation) for index, (row, operation) in enumerate(settled)]
        times = [
            *((when, index, 0, row, operation) for when, index, row, operation in begun if when),
            *((when, index, 1, row, operation) for when, index, row, operation in done if when),
        ]
        for when, _index, is_end, row, operation in sorted(times, key=lambda each: each[:3]):
            if is_end:
                self._end(row, operation, when)
            else:
                self._begin(row, operation, when)
        self.steps.sort(key=lambda step: step.when)

    def _settled(self, row: PaperRow, operation: LotOperation) -> PaperRow:
        """Check a row alone, and move its times to where the books' seconds let them be."""
        self.problems += _wrong_alone(row, operation.lot, self._now)
        times = {
            name: self._to_the_second(operation.lot, when)
            for name, when in (("begun_at", row.begun_at), ("done_at", row.done_at))
        }
        return replace(row, begun_at=times["begun_at"], done_at=times["done_at"])

    def _to_the_second(self, lot: Lot, when: datetime | None) -> datetime | None:
        return when and max(self._books[lot.id].timeline.within_the_minute(when), _released_within(lot, when))

    def _check_order(self, rows: Sequence[tuple[PaperRow, LotOperation]]) -> None:
        latest: dict[int, tuple[datetime, int]] = {}
        for number, (row, operation) in enumerate(rows, start=1):
            if row.done_at is None:
                continue
            before, above = latest.get(operation.id, (row.done_at, number))
            if row.done_at < before:
                self.problems.append(row.problem("done", RowsOutOfOrderError(above)))
            latest[operation.id] = max((before, above), (row.done_at, number))

    def _begin(self, row: PaperRow, operation: LotOperation, when: datetime) -> None:
        if row.station_id is None:
            return
        books = self._books[operation.lot_id]
        waiting = books.waiting(operation, when)
        pieces = min(waiting, row.pieces if row.done_at else _at_once(operation, waiting))
        if pieces < 1:
            stands = [Stand(operation.id, Place.WAITING)]
            error = books.shortage(operation, max(1, row.pieces), when, stands)
            self.problems.append(row.problem("begun", error))
            return
        ends = at(operation, Place.WAITING), at(operation, Place.IN_WORK)
        self._step(
            row, operation, Verb.BEGIN_RUN, when, [Move(operation.lot, pieces, *ends, station_id=row.station_id)]
        )

    def _end(self, row: PaperRow, operation: LotOperation, when: datetime) -> None:
        self._first_piece(row, operation, row.begun_at or when)
        books = self._books[operation.lot_id]
        found = books.sources(operation, row.station_id, when)
        if row.pieces > sum(source.pieces for source in found):
            self.problems.append(row.problem("good", books.shortage(operation, row.pieces, when)))
            return
        self._step(row, operation, Verb.SIGN_OFF, when, list(_result(row, operation, found)))

    def _first_piece(self, row: PaperRow, operation: LotOperation, when: datetime) -> None:
        if not operation.first_piece or operation.id in self._checked:
            return
        if row.first_piece:
            self._step(row, operation, Verb.FIRST_PIECE, when, [mark(operation, row.station_id)])
        elif row.good and not self._first_piece_known(operation):
            self.problems.append(row.problem("first_piece", FirstPieceError(operation_name(operation), operation.id)))
        self._checked.add(operation.id)

    def _first_piece_known(self, operation: LotOperation) -> bool:
        said = any(
            entry.to_operation_id == operation.id
            for posting in self._books[operation.lot_id].timeline.live
            if posting.verb is Verb.FIRST_PIECE
            for entry in posting.entries
        )
        return said or operation.passed > 0

    def _step(self, row: PaperRow, operation: LotOperation, verb: Verb, when: datetime, moves: list[Move]) -> None:
        for move in moves:
            self._books[operation.lot_id].carry(move)
        self.steps.append(Step(row, operation, verb, when, tuple(moves)))


def _result(row: PaperRow, operation: LotOperation, found: list[Source]) -> Iterator[Move]:
    aside = at(operation, Place.SCRAPPED), operation, row.reason.strip()
    targets: tuple[tuple[int, Spot, LotOperation | None, str], ...] = (
        (row.good, next_spot(operation), None, ""),
        (row.scrap, *aside),
    )
    for pieces, target, cause, reason in targets:
        for taken in draw(found, pieces):
            origin = at(operation, taken.place)
            yield Move(
                operation.lot, taken.pieces, origin, target, cause=cause, station_id=taken.station_id, reason=reason
            )


def _at_once(operation: LotOperation, waiting: int) -> int:
    if operation.taking is Taking.BATCH:
        return batch_pieces(operation, operation.lot.revision.piece_grams)
    return waiting


def _released_within(lot: Lot, when: datetime) -> datetime:
    """Return the second of the release where it lies in the minute that was written down."""
    return lot.released_at if lot.released_at.replace(second=0, microsecond=0) == when else when


def _wrong_alone(row: PaperRow, lot: Lot, now: datetime) -> Iterator[Problem]:
    yield from _wrong_times(row, lot, now)
    if row.begun_at and row.station_id is None:
        yield row.problem("station", StationMissingError())
    if row.done_at and not row.pieces:
        yield row.problem("good", LedgerError(gettext("Type how many pieces came out of it.")))
    if row.scrap and not row.reason.strip():
        yield row.problem("reason", ReasonMissingError())


def _wrong_times(row: PaperRow, lot: Lot, now: datetime) -> Iterator[Problem]:
    if row.begun_at is None and row.done_at is None:
        yield row.problem("done", LedgerError(gettext("Type when it was done.")))
    for field, when in (("begun", row.begun_at), ("done", row.done_at)):
        if when is not None and when > now:
            yield row.problem(field, InTheFutureError())
        elif when is not None and _released_within(lot, when) < lot.released_at:
            yield row.problem(field, BeforeReleaseError(lot_name(lot), moment(lot.released_at)))
    if row.begun_at and row.done_at and row.done_at < row.begun_at:
        yield row.problem("done", BegunAfterDoneError())
