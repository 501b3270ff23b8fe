"""How long an operation is planned to take, and how long it took."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from app.lots.models import Entry, JobState, LotOperation, Posting
from app.lots.queries.jobs import STATE_AFTER, JobLine, change_at_station
from app.parts.models import Taking


def batch_pieces(operation: LotOperation, piece_grams: int) -> int:
    """Return how many pieces one batch holds by its bounds on pieces and weight; at least 1."""
    by_weight = operation.batch_grams // piece_grams if operation.batch_grams and piece_grams else operation.load_pieces
    return max(1, min(operation.load_pieces, by_weight))


def planned_run_seconds(operation: LotOperation, pieces: int, piece_grams: int = 0) -> int:
    """Return the planned machine time for ``pieces`` without set-up, in whole seconds; lead times take none.

    A pallet load counts the longer of cutting it and changing the next, the first loading and the last unloading.
    """
    loads = -(-pieces // operation.load_pieces)
    match operation.taking:
        case Taking.SINGLE:
            total = pieces * operation.cycle_ms
        case Taking.BAR:
            total = pieces * operation.cycle_ms + loads * operation.load_ms
        case Taking.LOAD:
            by_hand = operation.load_ms + operation.unload_ms
            total = loads * max(operation.cycle_ms, by_hand) + by_hand
        case Taking.BATCH:
            total = -(-pieces // batch_pieces(operation, piece_grams)) * operation.cycle_ms
        case Taking.LEAD_TIME:
            total = 0
    return -(-total // 1000)


@dataclass(slots=True)
class Actual:
    """Clock time that an operation was set up and run at stations so far, in seconds, pauses left out.

    A stretch whose end is an estimate is left out too; no standard is to be learned from an operation that has one.
    """

    setup_seconds: int = 0
    run_seconds: int = 0
    first_at: datetime | None = None
    last_at: datetime | None = None


def clock_seconds(start: datetime, end: datetime) -> int:
    """Return the seconds between two moments on the clock; none when the end comes first."""
    return max(0, int((end - start).total_seconds()))


Between = Callable[[datetime, datetime], int]


def actual_times(lines: Iterable[JobLine], now: datetime, between: Between = clock_seconds) -> Actual:
    """Return how long the job of a station's entries was set up and run; one still open counts until ``now``.

    ``between`` gives the seconds that count between two moments.
    """
    found = Actual()
    pieces = 0
    state: JobState | None = None
    since = now
    for line in lines:
        if not line.is_estimate:
            _spend(found, state, between(since, line.happened_at))
        pieces += line.change
        state = None if pieces <= 0 else STATE_AFTER.get(line.verb, state or JobState.RUNNING)
        since = line.happened_at
        found.first_at = found.first_at or line.happened_at
        found.last_at = line.happened_at
    _spend(found, state, between(since, now))
    return found


def _spend(found: Actual, state: JobState | None, seconds: int) -> None:
    if state is JobState.SETTING_UP:
        found.setup_seconds += seconds
    elif state is JobState.RUNNING:
        found.run_seconds += seconds


def job_lines_by_operation(postings: Iterable[Posting]) -> dict[int, list[JobLine]]:
    """Sort a lot's loaded postings (in the ledger's order) into what stations did on each operation.

    What was undone is left out, as in ``job_lines``.
    """
    postings = list(postings)
    undone = {posting.reverses_id for posting in postings if posting.reverses_id}
    found: dict[int, list[JobLine]] = {}
    for posting in postings:
        if posting.reverses_id or posting.id in undone:
            continue
        for entry in posting.entries:
            if entry.station_id is None:
                continue
            for operation_id in {entry.from_operation_id, entry.to_operation_id} - {None}:
                assert operation_id is not None  # noqa: S101 - for the type checker; None was taken out above
                found.setdefault(operation_id, []).append(_line(entry, posting, operation_id))
    return found


def estimated_operations(postings: Iterable[Posting]) -> frozenset[int]:
    """Return the operations that pieces left at a time that is an estimate, by a lot's loaded postings."""
    postings = list(postings)
    undone = {posting.reverses_id for posting in postings if posting.reverses_id}
    return frozenset(
        entry.from_operation_id
        for posting in postings
        if posting.is_estimate and posting.id not in undone
        for entry in posting.entries
        if entry.from_operation_id is not None and entry.quantity
    )


def _line(entry: Entry, posting: Posting, operation_id: int) -> JobLine:
    origin = entry.from_place, entry.from_operation_id
    target = entry.to_place, entry.to_operation_id
    change = change_at_station(operation_id, entry.quantity, origin, target)
    return JobLine(posting.verb, posting.happened_at, posting.person_id, posting.id, 1, change, posting.is_estimate)
