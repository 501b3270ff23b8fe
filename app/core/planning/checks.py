"""What is wrong with the figures of a lot or an operation, told before anything is planned."""

from collections.abc import Container

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
    for figure, value, least in _figures(operation):
        if value < least:
            kind = ObstacleKind.FIGURE_NOT_ABOVE_ZERO if least else ObstacleKind.FIGURE_BELOW_ZERO
            return Obstacle(kind, operation.key, figure=figure, number=value)
    if isinstance(operation.taking, LeadTime | Purchase):
        return None
    return _weight_fault(operation) or _job_elsewhere(operation, station_keys)


def _weight_fault(operation: Operation) -> Obstacle | None:
    """Return why no batch takes its pieces, if none does: one is too heavy, or nobody knows its weight."""
    taking = operation.taking
    if not isinstance(taking, Batch) or taking.max_weight_g is None:
        return None
    weight = taking.piece_weight_g
    if weight <= 0:
        return Obstacle(ObstacleKind.WEIGHT_NOT_KNOWN, operation.key)
    if weight > taking.max_weight_g:
        return Obstacle(ObstacleKind.PIECE_TOO_HEAVY, operation.key, number=weight, most=taking.max_weight_g)
    return None


def _job_elsewhere(operation: Operation, station_keys: Container[str]) -> Obstacle | None:
    """Return that a job is open at a station that the shop does not have, if one is."""
    for job in operation.open_jobs:
        if job.station not in station_keys:
            return Obstacle(ObstacleKind.JOB_ELSEWHERE, operation.key, job.station)
    return None


def _figures(operation: Operation) -> list[tuple[Figure, int, int]]:
    """Return the figures of an operation, each with the least that it may be."""
    figures = [(Figure.SETUP_TIME, operation.setup_s, 0)]
    if operation.fixture_setup_s is not None:
        figures.append((Figure.FIXTURE_SETUP_TIME, operation.fixture_setup_s, 0))
    if operation.send_ahead is not None:
        figures.append((Figure.SEND_AHEAD_PIECES, operation.send_ahead, 1))
    figures += _taking_figures(operation.taking)
    return figures


def _taking_figures(taking: Taking) -> list[tuple[Figure, int, int]]:
    """Return the figures of a way of taking pieces, each with the least that it may be."""
    match taking:
        case SinglePiece(cycle_ms):
            return [(Figure.CYCLE_TIME, cycle_ms, 1)]
        case PalletLoad(pieces, cycle_ms, load_ms, unload_ms):
            sizes = [(Figure.LOAD_PIECES, pieces, 1), (Figure.CYCLE_TIME, cycle_ms, 1)]
            return [*sizes, (Figure.LOAD_TIME, load_ms, 0), (Figure.UNLOAD_TIME, unload_ms, 0)]
        case BarFed(pieces_per_bar, cycle_ms, bar_change_ms):
            sizes = [(Figure.BAR_PIECES, pieces_per_bar, 1), (Figure.CYCLE_TIME, cycle_ms, 1)]
            return [*sizes, (Figure.BAR_CHANGE_TIME, bar_change_ms, 0)]
        case Batch(_, time_ms):
            bound = [] if taking.max_pieces is None else [(Figure.BATCH_PIECES, taking.max_pieces, 1)]
            return [(Figure.BATCH_TIME, time_ms, 1), *bound]
        case LeadTime(days):
            return [(Figure.LEAD_TIME, days, 0)]
        case Purchase(arrivals):
            return [(Figure.EXPECTED_PIECES, arrival.pieces, 0) for arrival in arrivals]
