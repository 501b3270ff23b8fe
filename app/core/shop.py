"""What the forecast is made from: the stations, the open lots and how far each has got.

Times are whole seconds since the Unix epoch (UTC). Cycle, load and bar-change times are milliseconds, weights grams.
Keys are any text that tells things apart; the forecast gives them back unchanged.

Counts follow the pieces: at each operation some wait, some are in work at a station, some are counted (finished there
but not yet moved on) and some are held. The pieces at an operation and before it are the ones it still has to do.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from app.core.calendars import WorkCalendar
from app.core.taking import Arrival, BarFed, Batch, LeadTime, PalletLoad, Purchase, SinglePiece, Taking

__all__ = [
    "Arrival",
    "BarFed",
    "Batch",
    "Crew",
    "LeadTime",
    "Lot",
    "NotBefore",
    "OpenJob",
    "Operation",
    "OverClosed",
    "PalletLoad",
    "Purchase",
    "Shop",
    "SinglePiece",
    "Station",
    "Taking",
    "rank",
]


@dataclass(frozen=True, slots=True)
class OpenJob:
    """Pieces in work at a station now: what is left of a run of ``pieces`` and those ``counted``.

    Attributes:
        station: key of the station.
        pieces: pieces not yet counted.
        started_at: when the run began.
        in_setup: whether set-up was still to be done then.
        worked_s: seconds of set-up and then of work that the run has behind it; None means what the station's hours
            since ``started_at`` make of them: set-up while it is attended, then work while it is running, for one load
            after another.
        load: the same text for all jobs of one shared batch, so that they end together.
        needed_setup_s: seconds that set-up takes in all, after what ran before it there; None means all of the
            operation's ``setup_s``.
        counted: the first pieces of the run, which are done, whether they are still at the operation or not.
    """

    station: str
    pieces: int
    started_at: int
    in_setup: bool = False
    worked_s: int | None = None
    load: str | None = None
    needed_setup_s: int | None = None
    counted: int = 0


@dataclass(frozen=True, slots=True)
class NotBefore:
    """An operation cannot start before ``time``, because ``what`` (such as a component) is missing until then.

    With no ``time`` nobody knows when it will be there: what is not begun stays where it is.
    """

    time: int | None
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
        waited_s: for how long what waits has waited for others to share its batch already.
        counted: pieces finished there and not yet moved on.
        held: pieces there on hold; they are left out of the plan.
        open_jobs: pieces in work.
        send_ahead: pieces move on in transfers of so many; None moves all at the end of the operation.
        not_before: what else it waits for.
        fixture: a fixture or a family of parts that several operations have in common; empty when there is none.
        fixture_setup_s: seconds of set-up when only the ``fixture`` is that of the run before; None means all of it.
        tend_permille: share of one person that it takes while it runs, in thousandths.
        split: its pieces are divided evenly into so many runs, each with its set-up, which may run side by side.
        components: keys of lots that must be finished before it starts.
        rank: its place in an accepted plan, the lowest first; None where the plan does not know it.
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
    fixture: str = ""
    fixture_setup_s: int | None = None
    tend_permille: int = 0
    split: int = 1
    components: tuple[str, ...] = ()
    rank: int | None = None
    waited_s: int = 0

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
        released: when it was released; nothing of it begins before.
        due: the second after which it is late.
        pinned: place given by hand.
        rush: whether the customer's line is marked rush.
        hold: why the whole lot is on hold; None when it is not.
        weight: what an hour past its due date counts against the same of other lots; the customer's weight.
    """

    key: str
    number: str
    operations: tuple[Operation, ...]
    released: int = 0
    due: int | None = None
    pinned: int | None = None
    rush: bool = False
    hold: str | None = None
    weight: int = 1


def rank(lot: Lot) -> tuple[object, ...]:
    """Return what the lots are ordered by; the key decides between equals, so that the order of input never does."""
    pin = (0, lot.pinned) if lot.pinned is not None else (1, 0)
    due = (0, lot.due) if lot.due is not None else (1, 0)
    return (*pin, not lot.rush, *due, lot.released, lot.number, lot.key)


class OverClosed(StrEnum):
    """What work does at a station when its people leave.

    It pauses and goes on at the next opening; or it is not begun unless set-up and work fit into the open hours
    without a pause; or it goes on unattended for the station's ``unattended_s`` and pauses then.
    """

    PAUSE = "pause"
    FIT = "fit"
    UNATTENDED = "unattended"


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
        set_up_fixture: the fixture of what it ran last.
        over_closed: what work does when the people leave.
        unattended_s: for how long it goes on alone then.
        pace: how fast it cuts, in percent of the cycle times given; the times of loading and changes stay the same.
    """

    key: str
    work_center: str
    calendar: WorkCalendar
    pallets: int = 1
    pallet_change_ms: int = 0
    set_up_for: str | None = None
    set_up_fixture: str | None = None
    over_closed: OverClosed = OverClosed.PAUSE
    unattended_s: int = 0
    pace: int = 100


@dataclass(frozen=True, slots=True)
class Crew:
    """The people of one shift: while its calendar is open, so many can set up and so many others can tend.

    ``name`` tells the shift from others; one without a name, such as overtime, is nobody's to change.
    """

    calendar: WorkCalendar
    setters: int
    tenders: int
    name: str = ""


@dataclass(frozen=True, slots=True)
class Shop:
    """One moment of a shop.

    Attributes:
        now: the second from which the forecast is made.
        stations: in the order in which equals are chosen.
        lots: in any order.
        receiving: when what comes from outside can be taken in.
        people: the crews, who add up where they overlap; None when people do not limit the work.

    Raises:
        ValueError: two stations or two lots have the same key.
    """

    now: int
    stations: tuple[Station, ...]
    lots: tuple[Lot, ...]
    receiving: WorkCalendar
    people: tuple[Crew, ...] | None = None

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
