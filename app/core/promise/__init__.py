"""When a new lot could be done without moving anything that is planned: its operations go into the gaps.

The gaps come from a stored forecast, so the answer takes milliseconds. It is a date that holds if the plan does; the
next forecast decides anew who goes first. How many people are there at once is not looked at here, only the calendars
are: what is planned already has its people, and the planner's own answer counts them. What a station would do
unattended is not counted on either: the date may be later than the planner's, not sooner.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.core.planning.chains import Bench, chain
from app.core.planning.obstacles import Status
from app.core.planning.packing import pack
from app.core.planning.results import Cause, LotForecast, OperationForecast
from app.core.promise.agenda import Busy, busy_stretches
from app.core.promise.way import Way
from app.core.shop import Lot, Shop, Station

__all__ = ["Busy", "Promise", "busy_stretches", "promise"]

DAYS_LOOKED_AT = 28
"""Whether a station has open hours at all is looked up so many days ahead, and farther where it has none there."""


@dataclass(frozen=True, slots=True)
class Promise:
    """When a lot could be done, with its operations and reasons, and the station that it waits for longest, if any."""

    lot: LotForecast
    held_up_by: str | None


def promise(shop: Shop, busy: Mapping[str, Sequence[Busy]], lot: Lot) -> Promise:
    """Return when ``lot``, which has not begun, could be done if everything planned stays where it is.

    Args:
        shop: its moment, stations and receiving calendar count, its lots do not.
        busy: the taken time of each station by its key, in order, as busy_stretches gives it.
        lot: the new lot, with its pieces waiting at its first operation.

    Raises:
        ValueError: the lot has open jobs.
    """
    if any(operation.open_jobs for operation in lot.operations):
        raise ValueError("A promise is for a lot that has not begun.")
    way = Way(pack(replace(shop, lots=(lot,), people=None), DAYS_LOOKED_AT), busy)
    way.go()
    planned = _planned(shop, way)
    waits = Counter[str]()
    for reason in planned.chain:
        if reason.cause is Cause.BUSY and reason.station is not None:
            waits[reason.station] += reason.seconds
    return Promise(planned, max(waits, key=lambda key: waits[key], default=None))


def _planned(shop: Shop, way: Way) -> LotForecast:
    """Return what was found for the lot."""
    lot = way.packing.lots[0]
    operations = tuple(
        OperationForecast(one.key, tuple(sorted(runs, key=lambda run: run.start)))
        for one, runs in zip(lot.operations, way.runs, strict=True)
    )
    troubles = [*way.packing.troubles[0], *way.troubles]
    if troubles:
        worst = min(troubles, key=lambda each: each.rank).obstacle
        return LotForecast(lot.key, worst.status, worst, None, way.finish, operations)
    finish = shop.now if way.finish is None else way.finish
    benches = {station.key: _bench(station) for station in shop.stations}
    reasons = chain(lot, way.last_run, finish, shop.now, benches)
    return LotForecast(lot.key, Status.PLANNED, None, finish, finish, operations, reasons)


def _bench(station: Station) -> Bench:
    """Return a station of which only its own calendar is known."""
    calendar = station.calendar
    return Bench(station, calendar.spans, calendar.work_between, calendar.work_between, None)
