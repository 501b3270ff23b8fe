"""What a forecast says."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from app.core.planning.obstacles import Obstacle, Status


class Cause(StrEnum):
    """What a stretch of a lot's time goes to."""

    BLANKS = "waiting for blanks"
    COMPONENTS = "waiting for components"
    OUTSIDE = "outside"
    RELEASE = "not released"
    BUSY = "station busy"
    COMPANY = "waiting for others of its batch"
    MUST_FIT = "must fit"
    """The station is free, but the work would not end before it closes, and there it may not pause."""
    NO_PERSON = "no person"
    """The station is free and open, but nobody is there who could begin, or go on."""
    CLOSED = "closed"
    DOWN = "down"
    SERVICE = "planned service"
    SETUP = "set-up"
    RUNNING = "running"


@dataclass(frozen=True, slots=True)
class Run:
    """One stretch of one operation of a lot: so many pieces at one station, or outside, without another run between.

    Attributes:
        lot: key of the lot.
        operation: key of the operation.
        station: key of the station; None for lead times and purchases.
        start: when set-up or work begins, or goes on for a job that is under way.
        end: when the last piece is done; hours between start and end in which nothing goes on are pauses.
        setup_s: attended seconds of set-up, at the start.
        work_s: seconds of work after it; zero outside.
        pieces: pieces in it.
        arrived: when its pieces could first be worked on without waiting for more of them.
        ready: when everything else it waits for was there as well; it waits for the station from then to the start.
        load: runs with the same number at a station are one shared batch.
        guess: whether its end rests on a date that nobody has confirmed (purchases).
        under_way: whether it had begun before the forecast was made.
        after: the run of an earlier operation that its pieces came from; None when they were there from the start.
    """

    lot: str
    operation: str
    station: str | None
    start: int
    end: int
    setup_s: int
    work_s: int
    pieces: int
    arrived: int
    ready: int
    load: int
    guess: bool = False
    under_way: bool = False
    after: "Run | None" = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Reason:
    """So many ``seconds`` of a lot's way to its finish go to ``cause``.

    Attributes:
        cause: what they go to.
        seconds: how many, more than zero.
        operation: key of the operation that waits or runs.
        station: key of its station; None outside.
        behind: for a busy station, the keys of the lots ahead, at most the last 20, and the seconds each of them takes.
        what: for components, what is missing.
        guess: whether an unconfirmed date, or a guessed end of a downtime, has a part in it.
    """

    cause: Cause
    seconds: int
    operation: str
    station: str | None = None
    behind: tuple[tuple[str, int], ...] = ()
    what: str = ""
    guess: bool = False


@dataclass(frozen=True, slots=True)
class OperationForecast:
    """What is planned for one operation; no runs where nothing is left to do or nothing can be planned."""

    key: str
    runs: tuple[Run, ...]

    @property
    def start(self) -> int | None:
        """When its first run starts or goes on."""
        return min((run.start for run in self.runs), default=None)

    @property
    def end(self) -> int | None:
        """When its last run ends."""
        return max((run.end for run in self.runs), default=None)

    @property
    def stations(self) -> tuple[str, ...]:
        """The keys of its stations, each once, in order of the runs."""
        return tuple(dict.fromkeys(run.station for run in self.runs if run.station is not None))

    @property
    def setup_s(self) -> int:
        """Seconds of set-up."""
        return sum(run.setup_s for run in self.runs)


@dataclass(frozen=True, slots=True)
class LotForecast:
    """What is planned for one lot.

    Attributes:
        key: key of the lot.
        status: whether it can be planned to the end.
        obstacle: why not: the gravest of what stands in its way; None for a planned lot.
        finish: when all its pieces are through the last operation; None unless it is planned.
        partial_finish: when the pieces that nothing stops are through, whatever the status; None if there are none.
        operations: one for each operation of the lot, in order.
        chain: where the time from now to ``finish`` goes, in order; the seconds add up to it exactly.
    """

    key: str
    status: Status
    obstacle: Obstacle | None
    finish: int | None
    partial_finish: int | None
    operations: tuple[OperationForecast, ...]
    chain: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Forecast:
    """When every lot will be done if nothing changes.

    Attributes:
        now: the moment from which it looks ahead.
        lots: by key of the lot, in the order of their ranks.
        stations: the runs of each station by its key, in the order in which it does them.
    """

    now: int
    lots: Mapping[str, LotForecast]
    stations: Mapping[str, tuple[Run, ...]]
