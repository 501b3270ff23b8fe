"""What runs ask of people."""

from dataclasses import dataclass

from app.core.plan_check.hours import NeverDoneError
from app.core.plan_check.rows import Case, Load
from app.core.plan_check.work import cycle_ms
from app.core.shop import Operation, Station
from app.core.taking import PalletLoad


@dataclass(frozen=True, slots=True, eq=False)
class Need:
    """What a run asks of people in the attended seconds of its station.

    Attributes:
        station: its key.
        start, end: of the run.
        tend: thousandths of a person, to its end.
        setup_ends: until then it needs one who sets up.
    """

    station: str
    start: int
    end: int
    tend: int
    setup_ends: int

    def tends_at(self, second: int) -> int:
        """Return the thousandths of a person that it holds at a second from its start on."""
        return self.tend if self.end > second else 0

    def sets_up_at(self, second: int) -> bool:
        """Tell whether it needs one who sets up at a second from its start on."""
        return self.setup_ends > second


def need_of(case: Case, load: Load) -> Need:
    """Return what a load asks for."""
    run, first = load.run, load.first
    return Need(run.station or "", run.start, run.end, tended(first.operation, first.station), _setup_ends(case, load))


def tended(operation: Operation, station: Station | None) -> int:
    """Return the thousandths of a person that an operation takes at a station."""
    taking = operation.taking
    if not isinstance(taking, PalletLoad) or station is None:
        return operation.tend_permille
    handling = taking.load_ms + taking.unload_ms
    whole = handling + cycle_ms(taking.cycle_ms, station)
    return max(operation.tend_permille, -(-1000 * handling // whole))


def _setup_ends(case: Case, load: Load) -> int:
    """Return when the set-up of a load is done."""
    try:
        return case.hours[load.run.station or ""].attended.done_at(load.run.start, load.run.setup_s)
    except NeverDoneError:
        return load.run.end
