"""What the books teach about times, scrap, lateness of vendors and breakdowns: the spreads of the simulation.

Set-up is counted in the seconds in which somebody is at the station, work in those in which it goes on, pauses left
out: as plans have it. An operation with an estimated time teaches nothing, nor do loads at a station with several
pallets, which take turns there.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core import shop as core
from app.core.chances.spreads import STATED_SETUP, STATED_WORK, learned
from app.core.chances.uncertainty import MOST_SCRAP, Breakdowns, NewOrders, Odds, Uncertainty
from app.core.planning.takings import run_seconds
from app.core.work_hours import People, WorkHours
from app.core.worktime import Span
from app.lots.models import Entry, Lot, LotOperation, Place, Posting
from app.lots.queries.jobs import JobLine, change_at_station
from app.lots.queries.planned import actual_times
from app.material.models import Receipt
from app.parts.models import KindRole, OperationKind, Taking
from app.schedule.queries.conversion import taking_of
from app.schedule.queries.hours import second_of
from app.schedule.queries.jobs import operations_with_parts
from app.schedule.queries.snapshot import Snapshot
from app.stations.models import Downtime, Saying, StationChange

LOOK_BACK: Final = timedelta(days=90)
"""So far back the books are read; overtime and downtime are known as far."""
DAY_S: Final = 86_400
MOST_LIKE: Final = 50
"""New orders are like so many of the open lots."""
SHORTEST_S: Final = 60
"""Of work that is planned to take less nobody presses a button in time, so that it teaches nothing."""
LEAST_BREAKDOWNS: Final = 2
"""A station with fewer is taken never to break down: nobody can say how often it does."""


@dataclass
class History:
    """What was recorded in LOOK_BACK.

    Attributes:
        setups: ratios of actual to planned set-up times.
        work: the same of work.
        by_step: the same by revision and operation number.
        lost: pieces found to be scrap.
        done: pieces that operations did.
        outside: days late of work done by others.
        bought: days late of receipts.
        breakdowns: by the name of the station, how long each repair took, in seconds.
        released: lots that were released.
    """

    setups: list[float] = field(default_factory=list)
    work: list[float] = field(default_factory=list)
    by_step: dict[tuple[int, int], list[float]] = field(default_factory=lambda: defaultdict(list))
    lost: int = 0
    done: int = 0
    outside: list[int] = field(default_factory=list)
    bought: list[int] = field(default_factory=list)
    breakdowns: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    released: int = 0


def read_history(session: orm.Session, snapshot: Snapshot) -> History:
    """Read what the books teach by the moment of a snapshot; seven statements."""
    since = snapshot.now - LOOK_BACK
    history = History()
    _learn_times(session, snapshot, since, history)
    scrapped = sa.select(sa.func.coalesce(sa.func.sum(Entry.quantity), 0)).join(Entry.posting)
    chosen = scrapped.where(Posting.happened_at >= since, Entry.to_place == Place.SCRAPPED, _not_undone())
    history.lost = int(session.scalar(chosen) or 0)
    history.outside = _days_outside(session, since)
    received = sa.select(Receipt.received_on, Receipt.expected_on).where(Receipt.received_on >= since.date())
    history.bought = [(came - expected).days for came, expected in session.execute(received) if expected]
    _learn_breakdowns(session, snapshot, since, history)
    released = sa.select(sa.func.count(Lot.id)).where(Lot.released_at >= since)
    history.released = session.scalar(released) or 0
    return history


def uncertainty_of(snapshot: Snapshot, history: History) -> Uncertainty:
    """Return what is uncertain about a shop, by what its books teach; where they say little, as stated."""
    setup, work = learned(history.setups, STATED_SETUP), learned(history.work, STATED_WORK)
    scrap = min(MOST_SCRAP, history.lost / history.done) if history.done else 0.0
    odds = {}
    for lot in snapshot.shop.lots:
        revision_id = snapshot.lots[lot.key].row.revision_id
        for operation in lot.operations:
            own = history.by_step.get((revision_id, int(operation.key)), [])
            days = history.bought if isinstance(operation.taking, core.Purchase) else history.outside
            odds[lot.key, operation.key] = Odds(setup, learned(own, work), scrap, tuple(sorted(days)))
    return Uncertainty(
        operations=odds,
        usual=Odds(setup, work, scrap, tuple(sorted(history.outside))),
        stations=_breakdowns(snapshot, history),
        orders=_orders(snapshot, history),
    )


def _not_undone() -> sa.ColumnElement[bool]:
    undoing = orm.aliased(Posting)
    return sa.and_(Posting.reverses_id.is_(None), ~sa.exists().where(undoing.reverses_id == Posting.id))


def _learn_times(session: orm.Session, snapshot: Snapshot, since: datetime, history: History) -> None:
    """Learn from each operation that was begun and ended at one station since then."""
    operations = _operations_since(session, since)
    stations = {station_id: key for key, station_id in snapshot.station_ids.items()}
    people = None if snapshot.shop.people is None else People(snapshot.shop.people)
    by_key = {station.key: (station, WorkHours.of(station, people)) for station in snapshot.shop.stations}
    for (operation_id, station_id), lines in _lines_since(session, since).items():
        operation, there = operations.get(operation_id), by_key.get(stations.get(station_id, ""))
        if operation is not None and there is not None:
            _learn_from(operation, there, lines, history)


def _learn_from(
    operation: LotOperation, there: tuple[core.Station, WorkHours], lines: list[JobLine], history: History
) -> None:
    station, hours = there
    came: defaultdict[int, int] = defaultdict(int)
    for line in lines:
        came[line.posting_id] += max(0, line.change)
    pieces = sum(came.values())
    if not pieces or sum(line.change for line in lines) != 0 or any(line.is_estimate for line in lines):
        return
    history.done += pieces
    taking = taking_of(operation, operation.kind, operation.lot.revision.piece_grams)
    if isinstance(taking, core.LeadTime | core.Purchase) or (
        station.pallets > 1 and isinstance(taking, core.PalletLoad)
    ):
        return
    end = lines[-1].happened_at
    setup_s = actual_times(lines, end, _seconds_of(hours.attended)).setup_seconds
    work_s = actual_times(lines, end, _seconds_of(hours.running)).run_seconds
    planned = sum(run_seconds(taking, station, each) for each in came.values() if each)  # a batch takes all its time
    if operation.setup_seconds and setup_s:
        history.setups.append(setup_s / operation.setup_seconds)
    if planned >= SHORTEST_S and work_s:
        history.work.append(work_s / planned)
        history.by_step[operation.lot.revision_id, operation.number].append(work_s / planned)


def _seconds_of(spans: Callable[[Span], list[Span]]) -> Callable[[datetime, datetime], int]:
    """Return what counts the seconds of some spans between two moments."""

    def between(start: datetime, end: datetime) -> int:
        return sum(span.end - span.start for span in spans(Span(second_of(start), second_of(end))))

    return between


def _lines_since(session: orm.Session, since: datetime) -> Mapping[tuple[int, int], list[JobLine]]:
    rows = session.execute(
        sa.select(
            Posting.verb,
            Posting.happened_at,
            Posting.person_id,
            Posting.id,
            Posting.is_estimate,
            Entry.quantity,
            Entry.from_place,
            Entry.from_operation_id,
            Entry.to_place,
            Entry.to_operation_id,
            Entry.station_id,
        )
        .join(Entry.posting)
        .where(Posting.happened_at >= since, Entry.station_id.is_not(None), _not_undone())
        .order_by(Posting.happened_at, Posting.recorded_at, Entry.id)
    )
    found: defaultdict[tuple[int, int], list[JobLine]] = defaultdict(list)
    for verb, at, person_id, posting_id, estimate, quantity, *way, station_id in rows:
        origin, target = (way[0], way[1]), (way[2], way[3])
        for operation_id in {each for each in (way[1], way[3]) if each is not None}:
            change = change_at_station(operation_id, quantity, origin, target)
            found[operation_id, station_id].append(JobLine(verb, at, person_id, posting_id, 1, change, estimate))
    return found


def _operations_since(session: orm.Session, since: datetime) -> dict[int, LotOperation]:
    worked = (
        sa.select(Entry.to_operation_id)
        .join(Entry.posting)
        .where(Posting.happened_at >= since, Entry.station_id.is_not(None))
    )
    return operations_with_parts(session, worked)


def _days_outside(session: orm.Session, since: datetime) -> list[int]:
    """Return how many days later than its lead time each operation done by others came back."""
    came = _moment_of(sa.func.min(Posting.happened_at), Entry.to_operation_id, Entry.to_place == Place.WAITING)
    went = _moment_of(sa.func.max(Posting.happened_at), Entry.from_operation_id, Entry.quantity > 0)
    rows = session.execute(
        sa.select(LotOperation.lead_days, came, went)
        .join(LotOperation.kind)
        .where(
            OperationKind.role == KindRole.OUTSIDE,
            LotOperation.taking == Taking.LEAD_TIME,
            LotOperation.passed > 0,
            LotOperation.waiting + LotOperation.in_work + LotOperation.counted + LotOperation.held == 0,
            went >= since,
        )
    )
    return [round((back - sent) / timedelta(days=1)) - days for days, sent, back in rows if back and sent]


def _moment_of(
    which: sa.Function[datetime], operation_id: orm.InstrumentedAttribute[int | None], *where: sa.ColumnElement[bool]
) -> sa.ScalarSelect[datetime]:
    chosen = sa.select(which).join(Entry, Entry.posting_id == Posting.id)
    return chosen.where(operation_id == LotOperation.id, *where).correlate(LotOperation).scalar_subquery()


def _learn_breakdowns(session: orm.Session, snapshot: Snapshot, since: datetime, history: History) -> None:
    """Learn from the downtimes that somebody said at the station, not from those that were planned."""
    said = sa.exists().where(
        StationChange.station_id == Downtime.station_id,
        StationChange.what == Saying.DOWN,
        StationChange.happened_at == Downtime.starts_at,
    )
    names = {station_id: key for key, station_id in snapshot.station_ids.items()}
    chosen = sa.select(Downtime).where(Downtime.starts_at >= since, Downtime.ends_at <= snapshot.now, said)
    for downtime in session.scalars(chosen):
        if downtime.station_id in names and not downtime.end_is_guess:
            seconds = second_of(downtime.ends_at) - second_of(downtime.starts_at)
            history.breakdowns[names[downtime.station_id]].append(seconds)


def _breakdowns(snapshot: Snapshot, history: History) -> dict[str, Breakdowns]:
    now = snapshot.hours.now
    found = {}
    for station in snapshot.shop.stations:
        repairs = history.breakdowns.get(station.key, [])
        attended = station.calendar.work_between(now - int(LOOK_BACK.total_seconds()), now)
        if len(repairs) >= LEAST_BREAKDOWNS and attended:
            found[station.key] = Breakdowns(max(1, attended // len(repairs)), tuple(sorted(repairs)))
    return found


def _orders(snapshot: Snapshot, history: History) -> NewOrders | None:
    """Return the orders that nobody knows yet: as many as were released lately, like those that are open."""
    like = [fresh for lot in snapshot.shop.lots if (fresh := _fresh(lot)) is not None][:MOST_LIKE]
    if not like or not history.released:
        return None
    return NewOrders(int(LOOK_BACK.total_seconds()) // history.released, tuple(like))


def _fresh(lot: core.Lot) -> core.Lot | None:
    """Return a lot as it was released, with its blanks in the house; None where it has nothing to do but wait."""
    steps = [step for step in lot.operations if not isinstance(step.taking, core.Purchase)]
    pieces = sum(step.waiting + step.in_work + step.counted for step in lot.operations)
    if not steps or not pieces or lot.due is None or lot.hold is not None:
        return None
    untouched = [
        replace(
            step, waiting=0, counted=0, held=0, open_jobs=(), not_before=None, components=(), rank=None, stations=()
        )
        for step in steps
    ]
    return replace(lot, operations=(replace(untouched[0], waiting=pieces), *untouched[1:]), pinned=None)
