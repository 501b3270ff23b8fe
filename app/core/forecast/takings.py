"""How long a run takes, and when within it each piece is taken up and done, for each way of taking pieces.

All figures are milliseconds of open time from the end of set-up; ``seconds`` rounds a total up, once. What needs no
station takes none of its time.
"""

from app.core.shop import BarFed, Batch, LeadTime, PalletLoad, Purchase, SinglePiece, Station, Taking


def seconds(milliseconds: int) -> int:
    """Return whole seconds that hold ``milliseconds``."""
    return -(-milliseconds // 1000)


def run_seconds(taking: Taking, station: Station, pieces: int) -> int:
    """Return the open seconds that a run of ``pieces``, one or more, takes after set-up."""
    return seconds(done_ms(taking, station, pieces, pieces))


def done_ms(taking: Taking, station: Station, done: int, pieces: int) -> int:
    """Return when the first ``done`` (one or more) of a run's ``pieces`` are done."""
    match taking:
        case SinglePiece():
            return done * taking.cycle_ms
        case BarFed():
            bars = -(-done // taking.pieces_per_bar)
            return done * taking.cycle_ms + bars * taking.bar_change_ms
        case PalletLoad():
            loads = -(-done // taking.pieces)
            return _unloaded_ms(taking, station, loads, -(-pieces // taking.pieces))
        case Batch():
            return taking.time_ms
        case LeadTime() | Purchase():
            return 0


def taken_up_ms(taking: Taking, station: Station, before: int) -> int:
    """Return when a run takes up the piece that has ``before`` others before it; it must be there by then."""
    match taking:
        case SinglePiece():
            return before * taking.cycle_ms
        case BarFed():
            bars = before // taking.pieces_per_bar + 1
            return before * taking.cycle_ms + bars * taking.bar_change_ms
        case PalletLoad():
            return _loading_starts_ms(taking, station, before // taking.pieces + 1)
        case Batch() | LeadTime() | Purchase():
            return 0


def _loading_starts_ms(taking: PalletLoad, station: Station, load: int) -> int:
    """Return when the loading of load number ``load`` (from 1) starts."""
    if station.pallets < 2:
        return (load - 1) * _alone_ms(taking)
    if load <= 2:
        return 0 if load == 1 else _in_machine_ms(taking, station, 1)
    return _in_machine_ms(taking, station, load - 1) + taking.unload_ms


def _unloaded_ms(taking: PalletLoad, station: Station, load: int, loads: int) -> int:
    """Return when load number ``load`` of ``loads`` is unloaded."""
    if station.pallets < 2:
        return load * _alone_ms(taking)
    if load < loads:
        return _in_machine_ms(taking, station, load + 1) + taking.unload_ms
    tender_busy = taking.unload_ms if loads > 1 else 0  # with the load before the last
    out = max(taking.cycle_ms + station.pallet_change_ms, tender_busy)
    return _in_machine_ms(taking, station, loads) + out + taking.unload_ms


def _in_machine_ms(taking: PalletLoad, station: Station, load: int) -> int:
    """Return when load number ``load`` has been changed into the machine and cutting starts.

    One tender, two pallets; further pallets are not reckoned with. While one pallet is cut the tender unloads the one
    before and loads the next, so a load follows the one before by the longer of the two and a change.
    """
    change = station.pallet_change_ms
    first = taking.load_ms + change
    if load == 1:
        return first
    second = first + max(taking.cycle_ms, taking.load_ms) + change
    return second + (load - 2) * (max(taking.cycle_ms, taking.unload_ms + taking.load_ms) + change)


def _alone_ms(taking: PalletLoad) -> int:
    """Return the time of one load on a station that has no second pallet to load meanwhile."""
    return taking.load_ms + taking.cycle_ms + taking.unload_ms
