"""What the forecast is made from: the stations, the open lots and how far each has got.

Times are whole seconds since the Unix epoch (UTC). Cycle, load and bar-change times are milliseconds, weights grams.
Keys are any text that tells things apart; the forecast gives them back unchanged.

Counts follow the pieces: at each operation some wait, some are in work at a station, some are counted (finished there
but not yet moved on) and some are held. The pieces at an operation and before it are the ones it still has to do.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from app.core.calendars import WorkCalendar


@dataclass(frozen=True, slots=True)
class SinglePiece:
    """One piece at a time, each taking ``cycle_ms``."""

    cycle_ms: int


@dataclass(frozen=True, slots=True)
class PalletLoad:
    """Up to ``pieces`` at a time on a pallet, fixture or tombstone; a load takes ``cycle_ms``, full or not.

    Loading and unloading overlap the cutting at a station with two pallets or more, and come on top of it at others.
    """

    pieces: int
    cycle_ms: int
    load_ms: int = 0
    unload_ms: int = 0


@dataclass(frozen=True, slots=True)
class Batch:
    """A load of fixed time that lots with the same ``recipe`` may share, bounded by pieces, by weight or by both.

    A lot that is larger than one batch runs as several.
    """

    recipe: str
    time_ms: int
    max_pieces: int | None = None
    max_weight_g: int | None = None
    piece_weight_g: int = 0


@dataclass(frozen=True, slots=True)
class BarFed:
    """Pieces cut from bars, one after another; each bar that is begun, the first included, takes ``bar_change_ms``."""

    pieces_per_bar: int
    cycle_ms: int
    bar_change_ms: int = 0


@dataclass(frozen=True, slots=True)
class LeadTime:
    """Work done elsewhere, all pieces together: back after ``days``, at the first open hour of the receiving calendar.

    ``working_days`` counts only days on which the shop receives; else every day of the calendar counts.
    """

    days: int
    working_days: bool = False


@dataclass(frozen=True, slots=True)
class Arrival:
    """``pieces`` expected at ``time``; ``guess`` when nobody has confirmed it. A time that has passed means now."""

    time: int
    pieces: int
    guess: bool = False


@dataclass(frozen=True, slots=True)
class Purchase:
    """Blanks that are bought: the pieces that wait at this operation go on as they arrive, each delivery by itself.

    Pieces for which no arrival is known wait for an order.
    """

    arrivals: tuple[Arrival, ...] = ()


Taking = SinglePiece | PalletLoad | Batch | BarFed | LeadTime | Purchase
"""How an operation takes its pieces."""


@dataclass(frozen=True, slots=True)
class OpenJob:
    """Pieces in work at a station now.

    Attributes:
        station: key of the station.
        pieces: pieces not yet counted.
        started_at: when work on these pieces began: the start of the job or the last count.
        in_setup: whether set-up was still to be done then.
        worked_s: seconds of work since; None means the station's open seconds since ``started_at``.
        load: the same text for all jobs of one shared batch, so that they end together.
    """

    station: str
    pieces: int
    started_at: int
    in_setup: bool = False
    worked_s: int | None = None
    load: str | None = None


@dataclass(frozen=True, slots=True)
class NotBefore:
    """An operation cannot start before ``time``, because ``what`` (such as a component) is missing until then."""

    time: int
    what: str
    guess: bool = False


@dataclass(frozen=True, slots=True)
class Operation:
    """One step of a lot, with the pieces that are there now.

    Attributes:
        key: tells the operation from the others of its lot, such as "20".
        work_center: its stations can do it; not used for lead times and purchases, which need no station.
        taking: how it takes pieces.
        setup_s: seconds of set-up before a run, unless the run before it at the station had the same ``family``.
        family: what the set-up is for, such as part and operation; empty when nothing else can share it.
        stations: when not empty, only these stations of the shop can do it, whatever their work center.
        waiting: pieces there and not begun.
        counted: pieces finished there and not yet moved on.
        held: pieces there on hold; they are left out of the plan.
        open_jobs: pieces in work.
        send_ahead: pieces move on in transfers of so many; None moves all at the end of the operation.
        not_before: what else it waits for.
    """

    key: str
    work_center: str
    taking: Taking
    setup_s: int = 0
    family: str = ""
    stations: tuple[str, ...] = ()
    waiting: int = 0
    counted: int = 0
    held: int = 0
    open_jobs: tuple[OpenJob, ...] = ()
    send_ahead: int | None = None
    not_before: NotBefore | None = None

    @property
    def in_work(self) -> int:
        """Pieces in work at stations."""
        return sum(job.pieces for job in self.open_jobs)


@dataclass(frozen=True, slots=True)
class Lot:
    """The pieces that travel together, and what decides who goes first.

    The lowest rank goes first: pinned by hand before the rest and the lower pin first, then rush, then the earlier due
    date (none comes last), then the earlier release, then the number.

    Attributes:
        key: tells the lot from others.
        number: as printed on its traveler.
        operations: in order; those that are done may be left out.
        released: when it was released.
        due: the second after which it is late.
        pinned: place given by hand.
        rush: whether the customer's line is marked rush.
        hold: why the whole lot is on hold; None when it is not.
    """

    key: str
    number: str
    operations: tuple[Operation, ...]
    released: int = 0
    due: int | None = None
    pinned: int | None = None
    rush: bool = False
    hold: str | None = None


@dataclass(frozen=True, slots=True)
class Station:
    """One machine or bench, which does one run at a time.

    Attributes:
        key: tells the station from others.
        work_center: the operations it can do.
        calendar: its open hours less its downtime; stations with the same hours may share one.
        pallets: how many it has.
        pallet_change_ms: time of one change of pallets, for stations with two or more.
        set_up_for: the family of what it ran last; None when nobody knows.
    """

    key: str
    work_center: str
    calendar: WorkCalendar
    pallets: int = 1
    pallet_change_ms: int = 0
    set_up_for: str | None = None


@dataclass(frozen=True, slots=True)
class Shop:
    """One moment of a shop.

    Attributes:
        now: the second from which the forecast is made.
        stations: in the order in which equals are chosen.
        lots: in any order.
        receiving: when what comes from outside can be taken in.

    Raises:
        ValueError: two stations or two lots have the same key.
    """

    now: int
    stations: tuple[Station, ...]
    lots: tuple[Lot, ...]
    receiving: WorkCalendar

    def __post_init__(self) -> None:
        _refuse_twins("stations", (station.key for station in self.stations))
        _refuse_twins("lots", (lot.key for lot in self.lots))


def _refuse_twins(what: str, keys: Iterable[str]) -> None:
    """Raise ValueError when a key comes twice."""
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise ValueError(f"Two {what} have the key {key!r}.")
        seen.add(key)
