"""What became of a lot, and what keeps pieces from being planned: kinds with their data; the words are the caller's."""

from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """What became of a lot. Only a planned one has a finish."""

    PLANNED = "planned"
    HELD = "held"
    NO_BLANKS = "no blanks"
    NO_COMPONENTS = "no components"
    NO_STATION = "no station"
    NO_OPEN_HOURS = "no open hours"
    BAD_INPUT = "bad input"


class ObstacleKind(StrEnum):
    """What stands in the way."""

    LOT_HELD = "lot held"
    PIECES_HELD = "pieces held"
    BLANKS_NOT_ORDERED = "blanks not ordered"
    BLANKS_TOO_LATE = "blanks too late"
    COMPONENT_MISSING = "component missing"
    LOT_NOT_FINISHED = "lot not finished"
    LOTS_IN_A_LOOP = "lots in a loop"
    NO_OPENING = "no opening"
    TOO_FEW_HOURS = "too few hours"
    NEVER_FITS = "never fits"
    SETUP_NEVER_FITS = "set-up never fits"
    NO_PERSON = "no person"
    NO_RECEIVING = "no receiving"
    TOO_FAR_AHEAD = "too far ahead"
    NO_SUCH_STATION = "no such station"
    EMPTY_WORK_CENTER = "empty work center"
    SAME_KEY_TWICE = "same key twice"
    NEGATIVE_COUNT = "negative count"
    JOB_WITHOUT_PIECES = "job without pieces"
    JOB_ELSEWHERE = "job elsewhere"
    FIGURE_NOT_ABOVE_ZERO = "figure not above zero"
    FIGURE_BELOW_ZERO = "figure below zero"
    WEIGHT_NOT_KNOWN = "weight not known"
    PIECE_TOO_HEAVY = "piece too heavy"


class Figure(StrEnum):
    """A figure of an operation that can make no sense."""

    SETUP_TIME = "set-up time"
    FIXTURE_SETUP_TIME = "set-up time behind the same fixture"
    CYCLE_TIME = "cycle time"
    LOAD_TIME = "load time"
    UNLOAD_TIME = "unload time"
    BAR_CHANGE_TIME = "bar change time"
    BATCH_TIME = "batch time"
    LEAD_TIME = "lead time"
    LOAD_PIECES = "load pieces"
    BAR_PIECES = "bar pieces"
    BATCH_PIECES = "batch pieces"
    EXPECTED_PIECES = "expected pieces"
    SEND_AHEAD_PIECES = "send ahead pieces"


_STATUSES = {
    ObstacleKind.LOT_HELD: Status.HELD,
    ObstacleKind.PIECES_HELD: Status.HELD,
    ObstacleKind.BLANKS_NOT_ORDERED: Status.NO_BLANKS,
    ObstacleKind.BLANKS_TOO_LATE: Status.NO_BLANKS,
    ObstacleKind.COMPONENT_MISSING: Status.NO_COMPONENTS,
    ObstacleKind.LOT_NOT_FINISHED: Status.NO_COMPONENTS,
    ObstacleKind.LOTS_IN_A_LOOP: Status.NO_COMPONENTS,
    ObstacleKind.NO_OPENING: Status.NO_OPEN_HOURS,
    ObstacleKind.TOO_FEW_HOURS: Status.NO_OPEN_HOURS,
    ObstacleKind.NEVER_FITS: Status.NO_OPEN_HOURS,
    ObstacleKind.SETUP_NEVER_FITS: Status.NO_OPEN_HOURS,
    ObstacleKind.NO_PERSON: Status.NO_OPEN_HOURS,
    ObstacleKind.NO_RECEIVING: Status.NO_OPEN_HOURS,
    ObstacleKind.TOO_FAR_AHEAD: Status.NO_OPEN_HOURS,
    ObstacleKind.NO_SUCH_STATION: Status.NO_STATION,
    ObstacleKind.EMPTY_WORK_CENTER: Status.NO_STATION,
}


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Why pieces of a lot go no further.

    Attributes:
        kind: what stands in the way.
        operation: key of the operation where it does; empty for the whole lot.
        what: what it is about: why the lot is held, the work center, the keys of stations, the component,
            the lot that is waited for, or the lots of a loop, each of which waits for the next.
        figure: the figure that makes no sense, for the two kinds that name one.
        number: the pieces, the value of the figure, the grams of a piece, or the lots of a loop.
        most: the grams that a batch holds.
    """

    kind: ObstacleKind
    operation: str = ""
    what: str = ""
    figure: Figure | None = None
    number: int = 0
    most: int = 0

    @property
    def status(self) -> Status:
        """The status that it gives the lot; what makes no sense is bad input."""
        return _STATUSES.get(self.kind, Status.BAD_INPUT)


_GRAVEST_FIRST = (
    Status.BAD_INPUT,
    Status.NO_STATION,
    Status.NO_OPEN_HOURS,
    Status.NO_BLANKS,
    Status.NO_COMPONENTS,
    Status.HELD,
)


@dataclass(frozen=True, slots=True)
class Trouble:
    """An obstacle at the operation that stands at ``index`` in its lot."""

    index: int
    obstacle: Obstacle

    @property
    def rank(self) -> tuple[int, int]:
        """What troubles are ordered by: the least is the one to mend first."""
        return _GRAVEST_FIRST.index(self.obstacle.status), self.index
