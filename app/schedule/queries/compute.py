"""Computing a forecast from a snapshot, and turning what the core says into rows."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import orm

from app.core import shop as core_shop
from app.core.load import StationWeek, load_by_week
from app.core.planning.decoding import PLAIN, Engine
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Status
from app.core.planning.result_file import PlannedRun
from app.core.planning.results import Cause, Forecast
from app.core.planning.results import LotForecast as PlannedLot
from app.core.promise import busy_stretches
from app.schedule.models import LotForecast, Outlook, ServiceForecast, StationForecast
from app.schedule.queries.blanks import Delivery
from app.schedule.queries.components import MissingComponent
from app.schedule.queries.hours import moment_of
from app.schedule.queries.outlooks import STOPPED
from app.schedule.queries.snapshot import OpenLot, Snapshot, read_snapshot

_OUTLOOKS = {
    Status.PLANNED: Outlook.EXPECTED,
    Status.HELD: Outlook.HELD,
    Status.NO_BLANKS: Outlook.NO_BLANKS,
    Status.NO_COMPONENTS: Outlook.NO_COMPONENTS,
    Status.NO_STATION: Outlook.NO_STATION,
    Status.NO_OPEN_HOURS: Outlook.NO_OPEN_HOURS,
    Status.BAD_INPUT: Outlook.BAD_INPUT,
}


@dataclass(frozen=True, slots=True)
class Computed:
    """A forecast and what it was made from; ``bare`` has when late and stopped lots would be done unhindered."""

    snapshot: Snapshot
    forecast: Forecast
    bare: Mapping[str, int]


def compute_now(session: orm.Session, now: datetime, engine: Engine = PLAIN) -> Computed:
    """Read the shop as it is and compute its forecast, without storing it.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    return compute(read_snapshot(session, now), engine)


def compute(snapshot: Snapshot, engine: Engine = PLAIN) -> Computed:
    """Compute the forecast of a snapshot; it needs no session."""
    found = forecast(snapshot.shop, engine)
    due = {lot.key: lot.due for lot in snapshot.shop.lots}
    late = [[key] for key, lot in found.lots.items() if _after(lot.finish, due[key])]
    stopped = [key for key, lot in found.lots.items() if due[key] is not None and _OUTLOOKS[lot.status] in STOPPED]
    return Computed(snapshot, found, _bare_finishes(snapshot, [*late, stopped] if stopped else late, engine))


def _after(finish: int | None, due: int | None) -> bool:
    return finish is not None and due is not None and finish > due


def _bare_finishes(snapshot: Snapshot, groups: list[list[str]], engine: Engine) -> dict[str, int]:
    """Return when the lots of each group would be done alone in the shop.

    No station is down, nothing of them is on hold, and all that they take is here now.
    """
    if not groups:
        return {}
    lots = {lot.key: lot for lot in snapshot.shop.lots}
    calendars = {station.name: snapshot.hours.undisturbed(station) for station in snapshot.hours.stations}
    stations = tuple(replace(each, calendar=calendars[each.key]) for each in snapshot.shop.stations)
    finishes: dict[str, int | None] = {}
    for keys in groups:
        alone = tuple(_with_all(lots[key], snapshot.shop.now) for key in keys)
        found = forecast(replace(snapshot.shop, stations=stations, lots=alone), engine)
        finishes |= {key: found.lots[key].finish for key in keys}
    return {key: finish for key, finish in finishes.items() if finish is not None}


def _with_all(lot: core_shop.Lot, now: int) -> core_shop.Lot:
    """Return the lot with all its blanks and components here and nothing of it on hold."""
    operations = []
    for operation in lot.operations:
        taking, waiting = operation.taking, operation.waiting + operation.held
        if isinstance(taking, core_shop.Purchase):
            taking = core_shop.Purchase((core_shop.Arrival(now, waiting),))
        operations.append(replace(operation, taking=taking, waiting=waiting, held=0, not_before=None))
    return replace(lot, operations=tuple(operations), hold=None)


def lot_rows(computed: Computed) -> list[LotForecast]:
    """Return what is to be stored of each lot, in the order of ranks."""
    due = {lot.key: lot.due for lot in computed.snapshot.shop.lots}
    return [_lot_row(computed, lot, due[lot.key]) for lot in computed.forecast.lots.values()]


def _lot_row(computed: Computed, lot: PlannedLot, due: int | None) -> LotForecast:
    opened = computed.snapshot.lots[lot.key]
    bare = computed.bare.get(lot.key)
    # A lot that cannot be planned is late once its due time has passed; until then nobody can say.
    latest = computed.forecast.now if lot.finish is None else lot.finish
    return LotForecast(
        lot_id=opened.row.id,
        outlook=_OUTLOOKS[lot.status],
        obstacle=lot.obstacle and asdict(lot.obstacle),
        finish_at=None if lot.finish is None else moment_of(lot.finish),
        due_at=None if due is None else moment_of(due),
        slack_seconds=None if due is None or lot.finish is None else due - lot.finish,
        late=_after(latest, due),
        is_guess=any(reason.guess for reason in lot.chain),
        bare_finish_at=None if bare is None else moment_of(bare),
        waits=list(_waits(opened, lot, computed.forecast.now)),
    )


def _waits(opened: OpenLot, lot: PlannedLot, now: int) -> Iterator[dict[str, Any]]:
    """Yield each reason with the words that its sentence needs; what is empty is left out.

    A lot that waits for a component of which nobody knows when it comes has that as its one reason, without seconds.
    """
    if lot.status is Status.NO_COMPONENTS:
        yield _starved(opened)
    until = now
    for reason in lot.chain:
        until += reason.seconds
        operation = opened.operation(reason.operation)
        wait: dict[str, Any] = {
            "cause": reason.cause.value,
            "seconds": reason.seconds,
            "operation": operation.number,
            "title": operation.title,
            "station": reason.station,
            "behind": [["" if ahead == lot.key else ahead, seconds] for ahead, seconds in reason.behind],
            "guess": reason.guess,
        }
        if reason.cause is Cause.BLANKS:
            wait |= _blanks_words(opened.blanks, until)
        if reason.cause is Cause.COMPONENTS:
            wait |= _component_words(opened.components[operation.id])
        yield {name: value for name, value in wait.items() if value or name in {"cause", "seconds", "operation"}}


def _starved(opened: OpenLot) -> dict[str, Any]:
    """Return the wait at the first operation that nobody can say the end of."""
    for operation in opened.operations:
        missing = opened.components.get(operation.id)
        if missing is not None and missing.time is None:
            named = {"operation": operation.number, "title": operation.title}
            return {"cause": Cause.COMPONENTS.value, "seconds": 0, **named, **_component_words(missing)}
    raise LookupError("the core says that a component is missing which it was not told of")


def _component_words(missing: MissingComponent) -> dict[str, str]:
    """Say which component is missing and what it depends on."""
    words = {"component": missing.part, "promised": missing.promised.value, "lot": missing.lot}
    return words | {"day": missing.day.isoformat() if missing.day else ""}


def _blanks_words(blanks: tuple[Delivery, ...], until: int) -> dict[str, str]:
    """Say which delivery ended the wait."""
    last = next((delivery for delivery in reversed(blanks) if delivery.time == until), None)
    if last is None:
        return {}
    return {"blanks": last.promised.value, "day": last.day.isoformat() if last.day else ""}


def run_values(computed: Computed) -> list[dict[str, Any]]:
    """Return the columns of PlannedRun for the runs of all operations.

    Runs are thousands: they go into the database as they are, which keeps the write short.
    """
    snapshot = computed.snapshot
    runs = (
        (lot.key, operation.key, run)
        for lot in computed.forecast.lots.values()
        for operation in lot.operations
        for run in operation.runs
    )
    return [
        {
            "id": number,  # counted anew each time: a sequence would be used up in a few years of forecasts
            "operation_id": snapshot.lots[lot_key].operation(key).id,
            "station_id": None if run.station is None else snapshot.station_ids[run.station],
            "start_at": moment_of(run.start),
            "end_at": moment_of(run.end),
            "setup_seconds": run.setup_s,
            "work_seconds": run.work_s,
            "pieces": run.pieces,
            "load": run.load,
            "under_way": run.under_way,
            "is_guess": run.guess,
        }
        for number, (lot_key, key, run) in enumerate(runs, start=1)
    ]


def station_rows(computed: Computed) -> list[StationForecast]:
    """Return the taken time of each station, as it is to be stored."""
    taken = busy_stretches(computed.snapshot.shop, computed.forecast)
    weeks = _weeks(computed)
    return [
        StationForecast(
            station_id=computed.snapshot.station_ids[key],
            busy=[asdict(busy) for busy in stretches],
            weeks=[asdict(each) for each in weeks.get(key, ())],
        )
        for key, stretches in taken.items()
    ]


def _weeks(computed: Computed) -> dict[str, list[StationWeek]]:
    """Return what each station does week by week."""
    runs = [
        PlannedRun(run.lot, 0, run.station, run.start, run.end, run.pieces, run.setup_s)
        for found in computed.forecast.stations.values()
        for run in found
    ]
    by_station: dict[str, list[StationWeek]] = {}
    for each in load_by_week(computed.snapshot.shop, runs):
        by_station.setdefault(each.station, []).append(each)
    return by_station


def service_rows(computed: Computed) -> list[ServiceForecast]:
    """Return when each planned service is expected next, as it is to be stored."""
    return [
        ServiceForecast(
            service_id=service_id,
            due_at=moment_of(expected[0].due),
            start_at=moment_of(expected[0].span.start),
            end_at=moment_of(expected[0].span.end),
            is_guess=expected[0].guess,
        )
        for service_id, expected in computed.snapshot.hours.services.items()
        if expected
    ]
