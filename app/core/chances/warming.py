"""Getting compiled kernels ready: the compiler works when one is first called, a minute where nothing was kept."""

from datetime import time

from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.chances.simulation import Replayer, prepare, simulate
from app.core.chances.uncertainty import Uncertainty
from app.core.planning.search import Effort, improve
from app.core.shop import Lot, Operation, Shop, SinglePiece, Station


def warm_answers(replayer: Replayer) -> None:
    """Call every kernel once that plans and replays: what people wait for goes on with them."""
    simulate(prepare(_two_lots(), Uncertainty(), replayer), seed=1, replications=1)


def warm_searches(replayer: Replayer) -> None:
    """Call every kernel once that searches for an order of work."""
    improve(_two_lots(), Effort(moves=1), replayer.engine, by_ranks=True)


def _two_lots() -> Shop:
    """Return the least shop that has an order of work."""
    always = WorkCalendar(OpenHours("UTC", tuple(Shift(day, time(), time()) for day in range(7))))
    lots = tuple(Lot(str(n), str(n), (Operation("10", "a", SinglePiece(1000), waiting=1),)) for n in range(2))
    return Shop(0, (Station("a", "a", always),), lots, always)
