"""What keeps a lot or an operation from being planned, told before anything is planned."""

from collections.abc import Container, Iterator
from dataclasses import dataclass

from app.core.forecast.results import Status
from app.core.shop import BarFed, Batch, LeadTime, Lot, Operation, PalletLoad, Purchase, SinglePiece, Taking


@dataclass(frozen=True, slots=True, order=True)
class Trouble:
    """Why pieces of a lot go no further; the least of several is the one to mend first."""

    severity: int
    index: int
    reason: str

    @property
    def status(self) -> Status:
        """The status it gives the lot."""
        return _GRAVEST_FIRST[self.severity]


_GRAVEST_FIRST = (Status.BAD_INPUT, Status.NO_STATION, Status.NO_OPEN_HOURS, Status.NO_BLANKS, Status.HELD)


def trouble(status: Status, index: int, reason: str) -> Trouble:
    """Return the trouble of the operation at ``index`` that gives the lot ``status``."""
    return Trouble(_GRAVEST_FIRST.index(status), index, reason)


def lot_fault(lot: Lot) -> str | None:
    """Return a sentence on what makes the whole lot impossible to plan, if anything does."""
    keys = [operation.key for operation in lot.operations]
    for operation in lot.operations:
        if keys.count(operation.key) > 1:
            return f"Two operations are called {operation.key}."
        if min(operation.waiting, operation.counted, operation.held) < 0:
            return f"Operation {operation.key}: a count of pieces is below zero."
        if any(job.pieces < 1 for job in operation.open_jobs):
            return f"Operation {operation.key}: a job is under way without pieces."
    return None


def operation_fault(operation: Operation, station_keys: Container[str]) -> str | None:
    """Return a sentence on what is wrong with the figures of an operation, if anything is."""
    fault = next(_faults(operation, station_keys), None)
    return fault and f"Operation {operation.key}: {fault}"


def _faults(operation: Operation, station_keys: Container[str]) -> Iterator[str]:
    """Yield a clause for each thing that is wrong."""
    yield from _below_zero(("set-up time", operation.setup_s))
    if operation.send_ahead is not None:
        yield from _not_above_zero(("number of pieces to send ahead", operation.send_ahead))
    yield from _taking_faults(operation.taking)
    if not isinstance(operation.taking, LeadTime | Purchase):
        missing = (job.station for job in operation.open_jobs if job.station not in station_keys)
        yield from (f"a job is under way at {key!r}, which is no station of this shop." for key in missing)


def _taking_faults(taking: Taking) -> Iterator[str]:
    """Yield what is wrong with a way of taking pieces."""
    match taking:
        case SinglePiece(cycle_ms):
            yield from _not_above_zero(("cycle time", cycle_ms))
        case PalletLoad(pieces, cycle_ms, load_ms, unload_ms):
            yield from _not_above_zero(("number of pieces in a load", pieces), ("cycle time", cycle_ms))
            yield from _below_zero(("loading time", load_ms), ("unloading time", unload_ms))
        case BarFed(pieces_per_bar, cycle_ms, bar_change_ms):
            yield from _not_above_zero(("number of pieces from a bar", pieces_per_bar), ("cycle time", cycle_ms))
            yield from _below_zero(("bar change time", bar_change_ms))
        case LeadTime(days):
            yield from _below_zero(("lead time", days))
        case Purchase(arrivals):
            yield from _below_zero(*(("number of pieces expected", arrival.pieces) for arrival in arrivals))
        case Batch():
            yield from _batch_faults(taking)


def _batch_faults(taking: Batch) -> Iterator[str]:
    """Yield what is wrong with a batch; above all a piece that no batch can hold."""
    yield from _not_above_zero(("time of a batch", taking.time_ms))
    if taking.max_pieces is not None and taking.max_pieces < 1:
        yield "a batch must hold at least one piece."
    if taking.max_weight_g is None:
        return
    if taking.piece_weight_g <= 0:
        yield "the batch is bounded by weight, but the weight of a piece is not known."
    elif taking.piece_weight_g > taking.max_weight_g:
        yield f"a piece of {taking.piece_weight_g} g is too heavy for a batch of at most {taking.max_weight_g} g."


def _not_above_zero(*figures: tuple[str, int]) -> Iterator[str]:
    """Yield a clause for each figure that should be above zero and is not."""
    return (f"the {name} must be above zero, not {figure}." for name, figure in figures if figure <= 0)


def _below_zero(*figures: tuple[str, int]) -> Iterator[str]:
    """Yield a clause for each figure that is below zero."""
    return (f"the {name} is below zero." for name, figure in figures if figure < 0)
