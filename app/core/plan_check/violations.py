"""What a plan may not do, and the form in which it is told."""

from dataclasses import dataclass
from enum import StrEnum

from app.core.planning.result_file import PlannedRun


class Rule(StrEnum):
    """The rules of the model in ``app.core.planning``, as far as a plan can break them."""

    UNKNOWN = "names what the problem does not have"
    STATION = "this station cannot do it"
    TOO_EARLY = "begins before it may"
    UNATTENDED = "begins while nobody is there"
    FIT = "does not fit into the open hours"
    SETUP = "wrong set-up"
    TIME = "wrong end"
    OVERLAP = "two at once on a station"
    PALLETS = "cannot be loaded while the other is cut"
    BATCH = "cannot share a batch"
    BATCH_BOUND = "more than a batch holds"
    BATCH_ROOM = "leaves out what fits"
    BATCH_WAIT = "waits as no batch may"
    PEOPLE = "not enough people"
    PIECES = "pieces are not there"
    COUNT = "wrong number of pieces"
    SPLIT = "more than its part"
    HOLD = "is on hold"
    BLANKS = "blanks do not come then"
    OUTSIDE = "does not come back then"
    COMPONENT = "a component is missing"
    UNDER_WAY = "not what is under way"
    STATUS = "wrong status"
    FINISH = "wrong finish"
    TOTALS = "wrong totals"


@dataclass(frozen=True, slots=True)
class Violation:
    """One rule broken once.

    Attributes:
        rule: which.
        message: what is wrong, in a plain sentence with the figures.
        lot: key of the lot; empty where none is meant.
        operation: place of the operation in its lot, from 0; None where none is meant.
        station: key of the station; None where none is meant.
    """

    rule: Rule
    message: str
    lot: str = ""
    operation: int | None = None
    station: str | None = None

    def __str__(self) -> str:
        lot = f"lot {self.lot}" if self.lot else ""
        operation = "" if self.operation is None else f"operation {self.operation}"
        station = "" if self.station is None else f"at {self.station}"
        where = " ".join(word for word in (lot, operation, station) if word)
        return f"{where}: {self.message}" if where else self.message


def of_run(rule: Rule, run: PlannedRun, message: str) -> Violation:
    """Return a violation by a run of a plan; its message gets the run's times."""
    return Violation(rule, f"{message} ({run.start} to {run.end})", run.lot, run.index, run.station)
