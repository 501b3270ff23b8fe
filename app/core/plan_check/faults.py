"""Figures that no plan can be made with."""

from app.core.shop import Lot, Operation, Shop
from app.core.taking import BarFed, Batch, LeadTime, PalletLoad, Purchase, SinglePiece


def lot_is_faulty(lot: Lot) -> bool:
    """Tell whether nothing of a lot can be planned."""
    if len({operation.key for operation in lot.operations}) < len(lot.operations):
        return True
    return any(
        operation.waiting < 0
        or operation.counted < 0
        or operation.held < 0
        or any(job.pieces <= 0 or job.counted < 0 for job in operation.open_jobs)
        for operation in lot.operations
    )


def operation_is_faulty(shop: Shop, operation: Operation) -> bool:
    """Tell whether an operation with pieces to do cannot be planned."""
    if operation.setup_s < 0 or (operation.send_ahead is not None and operation.send_ahead <= 0):
        return True
    if operation.fixture_setup_s is not None and operation.fixture_setup_s < 0:
        return True
    if needs_station(operation):
        known = {station.key for station in shop.stations}
        if any(job.station not in known for job in operation.open_jobs):
            return True
    return _taking_is_faulty(operation)


def needs_station(operation: Operation) -> bool:
    """Tell whether an operation is done at a station of the shop."""
    return not isinstance(operation.taking, LeadTime | Purchase)


def _taking_is_faulty(operation: Operation) -> bool:
    match operation.taking:
        case SinglePiece(cycle_ms):
            faulty = cycle_ms <= 0
        case PalletLoad(pieces, cycle_ms, load_ms, unload_ms):
            faulty = pieces <= 0 or cycle_ms <= 0 or load_ms < 0 or unload_ms < 0
        case BarFed(pieces_per_bar, cycle_ms, bar_change_ms):
            faulty = pieces_per_bar <= 0 or cycle_ms <= 0 or bar_change_ms < 0
        case LeadTime(days):
            faulty = days < 0
        case Purchase(arrivals):
            faulty = any(arrival.pieces < 0 for arrival in arrivals)
        case Batch() as batch:
            faulty = batch.time_ms <= 0 or _holds_nothing(batch)
    return faulty


def _holds_nothing(batch: Batch) -> bool:
    """Tell whether not even one piece goes into a batch."""
    if batch.max_pieces is not None and batch.max_pieces <= 0:
        return True
    return batch.max_weight_g is not None and not 0 < batch.piece_weight_g <= batch.max_weight_g
