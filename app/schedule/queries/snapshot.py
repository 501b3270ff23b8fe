"""One moment of the shop, read in one transaction: the core's dataclasses, and the row that each key stands for."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.core import shop as core
from app.lots.models import Lot, LotOperation
from app.parts.models import Taking
from app.schedule.queries.blanks import Delivery, Supply, read_supply
from app.schedule.queries.components import MissingComponent, missing_components
from app.schedule.queries.conversion import (
    done_by_others,
    family,
    lead_days,
    lot_head,
    needs_blanks,
    planned_operation,
    station_as_planned,
    taking_of,
)
from app.schedule.queries.hours import ShopHours, read_hours
from app.schedule.queries.jobs import came_at, set_up_for
from app.schedule.queries.turns import lot_weights, operation_ranks
from app.schedule.queries.under_way import open_jobs
from app.shared.database import change_number
from app.stations.models import Station


@dataclass(frozen=True, slots=True)
class OpenLot:
    """A lot that is not finished: its rows, the blanks it can count on, and by operation the component it misses."""

    row: Lot
    operations: tuple[LotOperation, ...]
    blanks: tuple[Delivery, ...]
    components: Mapping[int, MissingComponent]

    def operation(self, key: str) -> LotOperation:
        """Return the operation that the core knows by ``key``."""
        return next(each for each in self.operations if str(each.number) == key)


@dataclass(frozen=True, slots=True)
class Snapshot:
    """One moment of the shop.

    Attributes:
        change_number: how often what planning reads had changed.
        now: the moment.
        hours: calendars.
        shop: what the core plans with.
        lots: the open lots by the core's key, which is the lot's code.
        station_ids: by the core's key, which is the station's name.
    """

    change_number: int
    now: datetime
    hours: ShopHours
    shop: core.Shop
    lots: Mapping[str, OpenLot]
    station_ids: Mapping[str, int]


def read_snapshot(session: orm.Session, now: datetime) -> Snapshot:
    """Read everything that planning needs, in a fixed number of statements.

    The session must be at the beginning of a transaction that sees one state of the database.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    number = change_number(session)
    hours = read_hours(session, now)
    rows = _open_lots(session)
    heads = sorted(
        ((lot_head(lot, hours), lot, operations) for lot, operations in rows), key=lambda one: core.rank(one[0])
    )
    supply = read_supply(session, hours, {lot.revision_id for lot, _ in rows})
    blanks = {lot.id: _blanks_for(lot, operations, supply) for _, lot, operations in heads}
    missing = missing_components(session, hours, [lot for _, lot, _ in heads])
    presence = _read_presence(session, hours, [each for _, operations in rows for each in operations])
    ranks, weights = operation_ranks(session), lot_weights(session)
    lots = [
        replace(
            head,
            weight=weights.get(lot.id, 1),
            operations=_operations(lot, operations, blanks[lot.id], missing, presence, ranks),
        )
        for head, lot, operations in heads
    ]
    return Snapshot(
        change_number=number,
        now=now,
        hours=hours,
        shop=core.Shop(hours.now, read_stations(session, hours), tuple(lots), hours.receiving, hours.people),
        lots={head.key: OpenLot(lot, operations, blanks[lot.id], missing) for head, lot, operations in heads},
        station_ids={station.name: station.id for station in hours.stations},
    )


def read_stations(session: orm.Session, hours: ShopHours) -> tuple[core.Station, ...]:
    """Return the stations as the core takes them, with what each is set up for."""
    families = set_up_for(session)
    return tuple(
        replace(
            station_as_planned(station, hours),
            set_up_for=family(*families[station.id][:2]) if station.id in families else None,
            set_up_fixture=families[station.id][2] if station.id in families else None,
        )
        for station in hours.stations
    )


def _open_lots(session: orm.Session) -> list[tuple[Lot, tuple[LotOperation, ...]]]:
    lots = session.scalars(
        sa.select(Lot).where(Lot.closed_at.is_(None)).order_by(Lot.number).options(orm.joinedload(Lot.revision))
    ).all()
    operations = session.scalars(
        sa.select(LotOperation)
        .join(LotOperation.lot)
        .where(Lot.closed_at.is_(None), ~LotOperation.skipped)
        .order_by(LotOperation.lot_id, LotOperation.number)
        .options(
            orm.defer(LotOperation.instructions),
            orm.joinedload(LotOperation.kind),
            orm.joinedload(LotOperation.work_center),
        )
    )
    by_lot: defaultdict[int, list[LotOperation]] = defaultdict(list)
    for operation in operations:
        by_lot[operation.lot_id].append(operation)
    return [(lot, _still_to_do(by_lot[lot.id])) for lot in lots]


def _still_to_do(operations: list[LotOperation]) -> tuple[LotOperation, ...]:
    """Leave out the operations that all pieces have passed."""
    first = next((place for place, each in enumerate(operations) if each.present), len(operations))
    return tuple(operations[first:])


def _blanks_for(lot: Lot, operations: Iterable[LotOperation], supply: Supply) -> tuple[Delivery, ...]:
    """Take from the supply what the lot waits for at the operation that orders its blanks."""
    coming = 0
    for operation in operations:
        coming += operation.waiting + operation.in_work + operation.counted
        if needs_blanks(operation) and coming:
            days = lead_days(operation, lot.revision.blank_lead_days)
            return supply.take(lot.revision_id, coming - operation.counted, days)
    return ()


@dataclass(frozen=True, slots=True)
class _Presence:
    """What is under way: open jobs by operation, and when pieces came to those done by others or in shared batches."""

    jobs: Mapping[int, tuple[core.OpenJob, ...]]
    came: Mapping[int, int]
    stations: tuple[Station, ...]
    now: int

    def at(self, operation: LotOperation) -> tuple[int, tuple[core.OpenJob, ...]]:
        """Return the pieces that wait at an operation, and those that are under way."""
        if not done_by_others(operation):
            return operation.waiting, self.jobs.get(operation.id, ())
        away = operation.waiting + operation.in_work
        since = self.came.get(operation.id, self.now)
        return 0, (core.OpenJob(station="", pieces=away, started_at=since),) if away else ()

    def waited_s(self, operation: LotOperation) -> int:
        """Return for how long what waits at an operation has waited for others to share its batch."""
        return max(0, self.now - self.came.get(operation.id, self.now)) if operation.taking is Taking.BATCH else 0

    def stations_for(self, operation: LotOperation, jobs: Iterable[core.OpenJob]) -> tuple[str, ...]:
        """Name the stations that can do an operation; none where all those of its work center can, and no other.

        One that was sent to a station is done there; what is begun elsewhere already ends where it was begun.
        """
        begun = {job.station for job in jobs if job.station}
        same = {each for each in self.stations if each.active and each.work_center_id == operation.work_center_id}
        sent = {each.name for each in same if each.id == operation.sent_to_station_id}
        able = sent or {each.name for each in same}
        return tuple(sorted(able | begun)) if sent or not begun <= able else ()


def _read_presence(session: orm.Session, hours: ShopHours, operations: Iterable[LotOperation]) -> _Presence:
    asked = [each.id for each in operations if _is_asked_when_pieces_came(each)]
    return _Presence(open_jobs(session, hours), came_at(session, asked), hours.stations, hours.now)


def _is_asked_when_pieces_came(operation: LotOperation) -> bool:
    if done_by_others(operation):
        return operation.waiting + operation.in_work > 0
    return operation.taking is Taking.BATCH and operation.waiting > 0


def _operations(
    lot: Lot,
    operations: Iterable[LotOperation],
    blanks: Iterable[Delivery],
    missing: Mapping[int, MissingComponent],
    presence: _Presence,
    ranks: Mapping[int, int],
) -> tuple[core.Operation, ...]:
    arrivals = tuple(delivery.arrival for delivery in blanks)
    converted = []
    for row in operations:
        taking = taking_of(row, row.kind, lot.revision.piece_grams, arrivals)
        waiting, jobs = presence.at(row)
        planned = replace(
            planned_operation(row, row.work_center, taking, lot.revision_id),
            stations=presence.stations_for(row, jobs),
            waiting=waiting,
            waited_s=presence.waited_s(row),
            counted=row.counted,
            held=row.held,
            split=row.split_over,
            open_jobs=jobs,
            not_before=missing[row.id].not_before if row.id in missing else None,
            rank=ranks.get(row.id),
        )
        converted.append(planned)
    return tuple(converted)
