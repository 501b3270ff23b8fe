"""What a lot's paper can speak of: its operations, where they can be done, and how many pieces are expected of each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Job, Lot, LotCharacteristic, LotOperation
from app.lots.queries import get_lot
from app.parts.models import KindRole
from app.stations.models import Station


@dataclass(frozen=True, slots=True)
class PaperOperation:
    """An operation that a row can name.

    Attributes:
        operation: the operation.
        expected: the pieces that the books have at it and before it, and that are not held.
        stations: where it can be done.
        station_id: the one where it was done, as far as the books can tell.
        planned: what is measured there.
    """

    operation: LotOperation
    expected: int
    stations: Sequence[Station]
    station_id: int | None
    planned: Sequence[LotCharacteristic] = ()

    @property
    def id(self) -> int:
        """Return the operation's key."""
        return self.operation.id

    @property
    def label(self) -> str:
        """Return its number and title."""
        return f"{self.operation.number} {self.operation.title}".strip()


def paper_lot(session: orm.Session, lot_id: int) -> tuple[Lot, list[PaperOperation]]:
    """Return a lot and what its paper can speak of; a fixed number of statements.

    Raises:
        LotNotFoundError: no such lot.
    """
    lot = get_lot(session, lot_id)
    found, planned = paper_operations(session, lot.operations), _planned(session, lot_id)
    return lot, [replace(each, planned=planned.get(each.id, ())) for each in found]


def _planned(session: orm.Session, lot_id: int) -> dict[int, list[LotCharacteristic]]:
    """Return what is measured at each operation of a lot; one statement."""
    rows = session.scalars(
        sa.select(LotCharacteristic)
        .join(LotCharacteristic.operation)
        .where(LotOperation.lot_id == lot_id)
        .order_by(LotCharacteristic.number)
    )
    found: dict[int, list[LotCharacteristic]] = {}
    for each in rows:
        found.setdefault(each.operation_id, []).append(each)
    return found


def paper_operations(session: orm.Session, operations: Sequence[LotOperation]) -> list[PaperOperation]:
    """Return the operations of a lot that are done by hand or at a machine: blanks are issued, not written down."""
    centers = {each.work_center_id for each in operations}
    stations = session.scalars(
        sa.select(Station)
        .where(Station.work_center_id.in_(centers), Station.active)
        .order_by(sa.func.lower(Station.name), Station.id)
    ).all()
    open_at = dict(
        session.execute(
            sa.select(Job.operation_id, sa.func.min(Job.station_id))
            .where(Job.operation_id.in_([each.id for each in operations]))
            .group_by(Job.operation_id)
        ).all()
    )
    found, coming = [], 0
    for operation in operations:
        if operation.kind.role is KindRole.BLANKS:
            continue
        coming += operation.waiting + operation.in_work + operation.counted
        here = [each for each in stations if each.work_center_id == operation.work_center_id]
        found.append(
            PaperOperation(operation, coming, here, open_at.get(operation.id) or likely_station(operation, here))
        )
    return found


def likely_station(operation: LotOperation, stations: Sequence[Station]) -> int | None:
    """Return where an operation is done when nobody says: where it was sent, or the only station there is."""
    if operation.sent_to_station_id is not None:
        return operation.sent_to_station_id
    return stations[0].id if len(stations) == 1 else None
