"""How long a run takes, and when within it each piece is taken up and done, for one way of taking pieces at a station.

The reckoning is that of the decoder's kernels; here it is asked with dataclasses instead of rows. All figures are
milliseconds of work from the end of set-up; ``seconds`` rounds a total up, once. What needs no station takes none of
its time.
"""

from typing import Final

from app.core.planning import arrays as a
from app.core.planning.batches import batch_room
from app.core.planning.kernels import times
from app.core.shop import Station
from app.core.taking import BarFed, Batch, LeadTime, PalletLoad, Purchase, SinglePiece, Taking

NO_BOUND: Final = 1 << 40
KINDS: Final = {
    SinglePiece: a.SINGLE,
    PalletLoad: a.PALLET,
    Batch: a.BATCH,
    BarFed: a.BAR,
    LeadTime: a.LEAD,
    Purchase: a.PURCHASE,
}


def seconds(milliseconds: int) -> int:
    """Return whole seconds that hold ``milliseconds``."""
    return times.whole_seconds(milliseconds)


def run_seconds(taking: Taking, station: Station, pieces: int) -> int:
    """Return the seconds of work that a run of ``pieces``, one or more, takes after set-up."""
    return seconds(done_ms(taking, station, pieces, pieces))


def done_ms(taking: Taking, station: Station, done: int, pieces: int) -> int:
    """Return when the first ``done`` (one or more) of a run's ``pieces`` are done."""
    return times.done_ms(_pair(taking, station), 0, a.OP_COLUMNS, done, pieces, -1)


def taken_up_ms(taking: Taking, station: Station, before: int) -> int:
    """Return when a run takes up the piece that has ``before`` others before it; it must be there by then."""
    return times.taken_up_ms(_pair(taking, station), 0, a.OP_COLUMNS, before)


def pack_taking(row: list[int], taking: Taking) -> None:
    """Write how an operation takes its pieces into its row."""
    row[a.O_KIND], row[a.O_ROOM], row[a.O_UNIT] = KINDS[type(taking)], NO_BOUND, 1
    match taking:
        case SinglePiece():
            row[a.O_CYCLE] = taking.cycle_ms
        case PalletLoad():
            row[a.O_CYCLE], row[a.O_UNIT] = taking.cycle_ms, taking.pieces
            row[a.O_LOAD], row[a.O_UNLOAD] = taking.load_ms, taking.unload_ms
        case BarFed():
            row[a.O_CYCLE], row[a.O_UNIT] = taking.cycle_ms, taking.pieces_per_bar
            row[a.O_LOAD] = taking.bar_change_ms
        case Batch():
            room = batch_room(taking)
            row[a.O_CYCLE], row[a.O_ROOM] = taking.time_ms, NO_BOUND if room is None else room
            row[a.O_MAX_PIECES] = NO_BOUND if taking.max_pieces is None else taking.max_pieces
            row[a.O_MAX_WEIGHT] = NO_BOUND if taking.max_weight_g is None else taking.max_weight_g
            row[a.O_PIECE_WEIGHT], row[a.O_WAIT] = taking.piece_weight_g, taking.wait_s
        case LeadTime():
            row[a.O_DAYS], row[a.O_WORKING] = min(taking.days, NO_BOUND), int(taking.working_days)
        case Purchase():
            pass


def pack_station_figures(row: list[int], station: Station) -> None:
    """Write what a station adds to the times of work into its row."""
    row[a.S_PALLETS], row[a.S_CHANGE], row[a.S_PACE] = station.pallets, station.pallet_change_ms, station.pace


def _pair(taking: Taking, station: Station) -> list[int]:
    """Return the rows of an operation and a station one behind the other, as the kernels want them."""
    operation, where = [0] * a.OP_COLUMNS, [0] * a.STATION_COLUMNS
    pack_taking(operation, taking)
    pack_station_figures(where, station)
    return operation + where
