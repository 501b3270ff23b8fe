"""How long a run works and when its pieces are taken up and done, by following every piece and every pallet.

Times are milliseconds from the end of set-up, or from what ``Workload.of`` says for a run that is mixed in.
"""

from dataclasses import dataclass

from app.core.shop import OpenJob, Operation, Station
from app.core.taking import BarFed, Batch, PalletLoad, SinglePiece


@dataclass(frozen=True, slots=True)
class Workload:
    """One run's work.

    Attributes:
        taken_up: for each piece, when it must be there.
        done: for each piece, when it is done.
        last_cut: for pallet loads, when the last cutting ends.
        tender_free: for pallet loads at two pallets, when the tender has nothing more to do before ``last_cut``.
    """

    taken_up: list[int]
    done: list[int]
    last_cut: int = 0
    tender_free: int = 0

    @property
    def seconds(self) -> int:
        """The whole of it, rounded up to a second."""
        return whole_seconds(max(self.done))


def whole_seconds(milliseconds: int) -> int:
    """Round up to a second."""
    return (milliseconds + 999) // 1000


def cycle_ms(cycle: int, station: Station) -> int:
    """Return a cycle time at a station's pace, rounded up."""
    return (cycle * 100 + station.pace - 1) // station.pace


def largest_run(operation: Operation, pieces: int) -> int:
    """Return how many of an operation's pieces one run takes at most: its share where it is split."""
    return -(-pieces // operation.split)


def setup_of(operation: Operation, job: OpenJob) -> int:
    """Return all the set-up of an open job."""
    if not job.in_setup:
        return 0
    return operation.setup_s if job.needed_setup_s is None else job.needed_setup_s


def workload(operation: Operation, station: Station, pieces: int, after: PalletLoad | None = None) -> Workload:
    """Return the work of a run of so many pieces.

    With ``after`` its first pallet was loaded while that other run cut its last; its work then counts from when that
    cutting ended.
    """
    match operation.taking:
        case SinglePiece() as taking:
            each = cycle_ms(taking.cycle_ms, station)
            return Workload([n * each for n in range(pieces)], [n * each for n in range(1, pieces + 1)])
        case BarFed() as taking:
            return _from_bars(taking, cycle_ms(taking.cycle_ms, station), pieces)
        case Batch() as taking:
            return Workload([0] * pieces, [taking.time_ms] * pieces)
        case PalletLoad() as taking:
            loads = len(range(0, pieces, taking.pieces))
            if station.pallets == 1:
                by_load = _on_one_pallet(taking, cycle_ms(taking.cycle_ms, station), loads)
            else:
                by_load = _Tender(taking, station, after).follow(loads)
            return Workload(
                [by_load.taken_up[n // taking.pieces] for n in range(pieces)],
                [by_load.done[n // taking.pieces] for n in range(pieces)],
                by_load.last_cut,
                by_load.tender_free,
            )
    raise TypeError(f"{operation.taking} takes no time of a station.")


def _from_bars(taking: BarFed, each: int, pieces: int) -> Workload:
    clock, taken_up, done = 0, [], []
    for piece in range(pieces):
        if piece % taking.pieces_per_bar == 0:
            clock += taking.bar_change_ms
        taken_up.append(clock)
        clock += each
        done.append(clock)
    return Workload(taken_up, done)


def _on_one_pallet(taking: PalletLoad, cut: int, loads: int) -> Workload:
    each = taking.load_ms + cut + taking.unload_ms
    return Workload([n * each for n in range(loads)], [(n + 1) * each for n in range(loads)])


class _Tender:
    """One person and one machine at two pallets: what is not in the machine is unloaded and loaded while it cuts."""

    def __init__(self, taking: PalletLoad, station: Station, after: PalletLoad | None) -> None:
        self.taking = taking
        self.cut = cycle_ms(taking.cycle_ms, station)
        self.change = station.pallet_change_ms
        self.after = after
        self.tender = 0  # when the tender has done what it was given
        self.spindle = 0  # when the machine has cut what it was given
        self.taken_up: list[int] = []
        self.done: list[int] = []

    def follow(self, loads: int) -> Workload:
        """Return when each of a run's loads is taken up and unloaded."""
        for load in range(loads):
            if load >= 2:
                self._unload()
            self._load(mixed_in=self.after is not None and load == 0)
            self._change()
            if self.after is not None and load == 0:
                self.tender += self.after.unload_ms
            self.spindle += self.cut
        if loads >= 2:
            self._unload()
        tender_free = self.tender
        self.tender = max(self.tender, self.spindle + self.change)
        self._unload()
        return Workload(self.taken_up, self.done, self.spindle, tender_free)

    def _load(self, *, mixed_in: bool) -> None:
        self.taken_up.append(self.tender)
        if not mixed_in:
            self.tender += self.taking.load_ms

    def _unload(self) -> None:
        self.tender += self.taking.unload_ms
        self.done.append(self.tender)

    def _change(self) -> None:
        """The loaded pallet goes in and the other comes out, for which tender and machine wait for one another."""
        self.spindle = self.tender = max(self.tender, self.spindle) + self.change
