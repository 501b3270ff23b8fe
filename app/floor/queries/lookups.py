"""Finding what a code or an address names."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import ScanCode
from app.floor.errors import ReceiptNotFoundError
from app.lots.errors import LotNotFoundError, OperationNotFoundError
from app.lots.models import Job, Lot, LotOperation, Posting
from app.material.models import Receipt
from app.parts.models import Revision

LOT_PARTS = (
    orm.joinedload(LotOperation.kind),
    orm.joinedload(LotOperation.work_center),
    orm.joinedload(LotOperation.lot).options(
        orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations)
    ),
)


def operation_at(session: orm.Session, operation_id: int) -> LotOperation:
    """Return an operation with its lot, part and the lot's other operations.

    Raises:
        OperationNotFoundError: there is none with this key.
    """
    found = session.scalars(
        sa.select(LotOperation).where(LotOperation.id == operation_id).options(*LOT_PARTS)
    ).one_or_none()
    if found is None:
        raise OperationNotFoundError(str(operation_id))
    return found


def operation_by_number(session: orm.Session, code: ScanCode) -> LotOperation:
    """Return the operation whose scan code was read.

    Raises:
        OperationNotFoundError: there is none.
    """
    found = session.scalars(
        sa.select(LotOperation).where(LotOperation.code_number == code.number).options(*LOT_PARTS)
    ).one_or_none()
    if found is None:
        raise OperationNotFoundError(str(code))
    return found


def lot_by_number(session: orm.Session, code: ScanCode) -> Lot:
    """Return the lot whose scan code was read, with its operations.

    Raises:
        LotNotFoundError: there is none.
    """
    found = session.scalars(
        sa.select(Lot)
        .where(Lot.number == code.number)
        .options(orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations))
    ).one_or_none()
    if found is None:
        raise LotNotFoundError(str(code))
    return found


def receipt_by_number(session: orm.Session, code: ScanCode) -> Receipt:
    """Return the receipt whose scan code was read.

    Raises:
        ReceiptNotFoundError: there is none.
    """
    found = session.scalars(sa.select(Receipt).where(Receipt.number == code.number)).one_or_none()
    if found is None:
        raise ReceiptNotFoundError(str(code))
    return found


def fitting_operation(session: orm.Session, lot: Lot, station_id: int, work_center_id: int) -> LotOperation | None:
    """Return the operation of a lot that a scan of its code means at a station.

    That is the one open there, else the first of the station's work center with pieces that wait, else the first of
    it that earlier operations still have pieces for.
    """
    here = [each for each in lot.operations if each.work_center_id == work_center_id and not each.skipped]
    is_open = set(
        session.scalars(
            sa.select(Job.operation_id)
            .join(Job.operation)
            .where(Job.station_id == station_id, LotOperation.lot_id == lot.id)
        )
    )
    opened = [each for each in lot.operations if each.id in is_open]
    waiting = [each for each in here if each.waiting]
    coming = [each for each in here if any(other.present for other in lot.operations if other.number <= each.number)]
    return next(iter([*opened, *waiting, *coming]), None)


def kept_posting(session: orm.Session, key: str) -> Posting | None:
    """Return what a client's key has recorded already, with its entries."""
    return session.scalars(
        sa.select(Posting).where(Posting.client_key == key).options(orm.selectinload(Posting.entries))
    ).one_or_none()
