"""Where operations were sent, by whom and why."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation, Sending
from app.parts.models import Revision


def last_sendings(session: orm.Session, operation_ids: Iterable[int]) -> dict[int, Sending]:
    """Return the last word about where each of some operations is sent, with who said it; one statement."""
    wanted = list(operation_ids)
    last = sa.select(sa.func.max(Sending.id)).where(Sending.operation_id.in_(wanted)).group_by(Sending.operation_id)
    rows = session.scalars(sa.select(Sending).where(Sending.id.in_(last)).options(orm.joinedload(Sending.person)))
    return {each.operation_id: each for each in rows}


def sent_within(session: orm.Session, work_center_id: int) -> list[LotOperation]:
    """Return the operations of open lots that are sent to one station of a work center and still to be done there."""
    rows = session.scalars(
        sa.select(LotOperation)
        .join(LotOperation.lot)
        .where(
            LotOperation.work_center_id == work_center_id,
            LotOperation.sent_to_station_id.is_not(None),
            Lot.closed_at.is_(None),
        )
        .order_by(Lot.number, LotOperation.number)
        .options(
            orm.joinedload(LotOperation.sent_to),
            orm.contains_eager(LotOperation.lot).options(
                orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations)
            ),
        )
    )
    return [each for each in rows if still_to_do(each)]


def still_to_do(operation: LotOperation) -> bool:
    """Say whether pieces of the lot are at the operation or will come to it."""
    here = [each for each in operation.lot.operations if each.number <= operation.number]
    return not operation.skipped and any(each.present for each in here)
