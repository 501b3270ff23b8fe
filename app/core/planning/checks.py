"""What is wrong with the figures of a lot or an operation, told before anything is planned."""

from collections.abc import Container, Iterator
from dataclasses import replace

from app.core.planning.obstacles import Figure, Obstacle, ObstacleKind
from app.core.shop import BarFed, Batch, LeadTime, Lot, Operation, PalletLoad, Purchase, SinglePiece, Taking


def lot_fault(lot: Lot) -> Obstacle | None:
    """Return what makes the whole lot impossible to plan, if anything does."""
    keys = [operation.key for operation in lot.operations]
    for operation in lot.operations:
        if keys.count(operation.key) > 1:
            return Obstacle(ObstacleKind.SAME_KEY_TWICE, operation.key)
        counted = [job.counted for job in operation.open_jobs]
        if min(operation.waiting, operation.counted, operation.held, *counted) < 0:
            return Obstacle(ObstacleKind.NEGATIVE_COUNT, operation.key)
        if any(job.pieces < 1 for job in operation.open_jobs):
            return Obstacle(ObstacleKind.JOB_WITHOUT_PIECES, operation.key)
    return None


def operation_fault(operation: Operation, station_keys: Container[str]) -> Obstacle | None:
    """Return what is wrong with the figures of an operation, if anything is."""
    fault = next(_faults(operation, station_keys), None)
    return fault and replace(fault, operation=operation.key)


def _faults(operation: Operation, station_keys: Container[str]) -> Iterator[Obstacle]:
    """Yield each thing that is wrong."""
    yield from _below_zero((Figure.SETUP_TIME, operation.setup_s))
    if operation.fixture_setup_s is not None:
        yield from _below_zero((Figure.FIXTURE_SETUP_TIME, operation.fixture_setup_s))
    if operation.send_ahead is not None:
        yield from _not_above_zero((Figure.SEND_AHEAD_PIECES, operation.send_ahead))
    yield from _taking_faults(operation.taking)
    if not isinstance(operation.taking, LeadTime | Purchase):
        missing = (job.station for job in operation.open_jobs if job.station not in station_keys)
        yield from (Obstacle(ObstacleKind.JOB_ELSEWHERE, what=key) for key in missing)


def _taking_faults(taking: Taking) -> Iterator[Obstacle]:
    """Yield what is wrong with a way of taking pieces."""
    match taking:
        case SinglePiece(cycle_ms):
            yield from _not_above_zero((Figure.CYCLE_TIME, cycle_ms))
        case PalletLoad(pieces, cycle_ms, load_ms, unload_ms):
            yield from _not_above_zero((Figure.LOAD_PIECES, pieces), (Figure.CYCLE_TIME, cycle_ms))
            yield from _below_zero((Figure.LOAD_TIME, load_ms), (Figure.UNLOAD_TIME, unload_ms))
        case BarFed(pieces_per_bar, cycle_ms, bar_change_ms):
            yield from _not_above_zero((Figure.BAR_PIECES, pieces_per_bar), (Figure.CYCLE_TIME, cycle_ms))
            yield from _below_zero((Figure.BAR_CHANGE_TIME, bar_change_ms))
        case LeadTime(days):
            yield from _below_zero((Figure.LEAD_TIME, days))
        case Purchase(arrivals):
            yield from _below_zero(*((Figure.EXPECTED_PIECES, arrival.pieces) for arrival in arrivals))
        case Batch():
            yield from _batch_faults(taking)


def _batch_faults(taking: Batch) -> Iterator[Obstacle]:
    """Yield what is wrong with a batch; above all a piece that no batch can hold."""
    yield from _not_above_zero((Figure.BATCH_TIME, taking.time_ms))
    if taking.max_pieces is not None:
        yield from _not_above_zero((Figure.BATCH_PIECES, taking.max_pieces))
    if taking.max_weight_g is None:
        return
    if taking.piece_weight_g <= 0:
        yield Obstacle(ObstacleKind.WEIGHT_NOT_KNOWN)
    elif taking.piece_weight_g > taking.max_weight_g:
        yield Obstacle(ObstacleKind.PIECE_TOO_HEAVY, number=taking.piece_weight_g, most=taking.max_weight_g)


def _not_above_zero(*figures: tuple[Figure, int]) -> Iterator[Obstacle]:
    """Yield each figure that should be above zero and is not."""
    kind = ObstacleKind.FIGURE_NOT_ABOVE_ZERO
    return (Obstacle(kind, figure=figure, number=value) for figure, value in figures if value <= 0)


def _below_zero(*figures: tuple[Figure, int]) -> Iterator[Obstacle]:
    """Yield each figure that is below zero."""
    kind = ObstacleKind.FIGURE_BELOW_ZERO
    return (Obstacle(kind, figure=figure, number=value) for figure, value in figures if value < 0)
