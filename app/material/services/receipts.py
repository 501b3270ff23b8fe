"""What comes in: receipts of purchases and of anything else, and putting them right."""

from collections.abc import Iterator
from datetime import datetime
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, next_number
from app.material.errors import (
    BelowIssuedError,
    BlankOrComponentError,
    CorrectionReasonError,
    NothingCorrectedError,
    NothingReceivedError,
    QuantityError,
    ReceivedBeforeOrderedError,
    ReceivedInFutureError,
    RejectReasonError,
    TooLongError,
)
from app.material.models import MaterialOrderLine, Origin, Receipt, ReceiptCorrection
from app.material.queries import get_material_line, get_receipt
from app.material.services.inputs import MOST_PIECES, NewReceipt, ReceiptChange
from app.orders.queries import shop_today
from app.people.models import Person
from app.shared.database import transaction
from app.shared.errors import Problem, refuse

LONGEST_HEAT: Final = 40
LONGEST_TEXT: Final = 500


def receive(session: orm.Session, new: NewReceipt, by: Person | None, now: datetime) -> Receipt:
    """Record what came in, counted in parts; the purchase's line closes when all of it has come in.

    More than was ordered is taken in as well: ``receipt.line.accepted`` against ``receipt.line.pieces`` says so.
    Rejected pieces are not at hand and are still expected from the vendor.

    Raises:
        MaterialOrderNotFoundError: there is no such line.
        RefusedError: something is wrong with it; its problems say what and where.
    """
    with transaction(session):
        line = get_material_line(session, new.line_id, lock=True) if new.line_id is not None else None
        refuse(_receipt_problems(session, new, line, now))
        receipt = _made_receipt(session, new, line, by, now)
        session.add(receipt)
        session.flush()
        if line is not None:
            _settle(session, line, now)
    return receipt


def _receipt_problems(
    session: orm.Session, new: NewReceipt, line: MaterialOrderLine | None, now: datetime
) -> Iterator[Problem]:
    today = shop_today(session, now)
    if line is None and (new.revision_id is None) == (new.part_id is None):
        yield Problem("part", BlankOrComponentError())
    if new.received_on > today:
        yield Problem("received_on", ReceivedInFutureError(today))
    elif line is not None and new.received_on < line.order.ordered_on:
        yield Problem("received_on", ReceivedBeforeOrderedError(line.order.ordered_on))
    if len(new.note) > LONGEST_TEXT:
        yield Problem("note", TooLongError(LONGEST_TEXT))
    yield from _count_problems(new.pieces, new.rejected, new.reject_reason, new.heat)


def _count_problems(pieces: int, rejected: int, reject_reason: str, heat: str) -> Iterator[Problem]:
    if not 0 <= pieces <= MOST_PIECES:
        yield Problem("pieces", QuantityError(0, MOST_PIECES))
    elif not 0 <= rejected <= MOST_PIECES:
        yield Problem("rejected", QuantityError(0, MOST_PIECES))
    elif pieces + rejected == 0:
        yield Problem("pieces", NothingReceivedError())
    elif rejected and not reject_reason:
        yield Problem("reject_reason", RejectReasonError())
    if len(reject_reason) > LONGEST_TEXT:
        yield Problem("reject_reason", TooLongError(LONGEST_TEXT))
    if len(heat) > LONGEST_HEAT:
        yield Problem("heat", TooLongError(LONGEST_HEAT))


def _made_receipt(
    session: orm.Session, new: NewReceipt, line: MaterialOrderLine | None, by: Person | None, now: datetime
) -> Receipt:
    last = session.scalars(sa.select(sa.func.max(Receipt.number))).one() or 0
    return Receipt(
        number=next_number(CodeKind.RECEIPT, last),
        line=line,
        expected_on=line.expected_on if line else None,
        revision_id=line.revision_id if line else new.revision_id,
        part_id=line.part_id if line else new.part_id,
        origin=Origin.BOUGHT if line else new.origin,
        heat=new.heat,
        pieces=new.pieces,
        rejected=new.rejected,
        reject_reason=new.reject_reason if new.rejected else "",
        note=new.note,
        received_on=new.received_on,
        recorded_at=now,
        recorded_by_id=by.id if by else None,
    )


def _settle(session: orm.Session, line: MaterialOrderLine, now: datetime) -> None:
    """Close a line of which all has come in."""
    session.refresh(line, ["receipts"])
    if line.closed_at is None and line.accepted >= line.pieces:
        line.closed_at = now


def correct_receipt(
    session: orm.Session, receipt_id: int, change: ReceiptChange, by: Person | None, now: datetime
) -> Receipt:
    """Put a receipt right; what it said before stays on record with the reason.

    The purchase's line closes if all has come in by the right count, and is open again if it no longer has.

    Raises:
        ReceiptNotFoundError: there is no such receipt.
        RefusedError: something is wrong with the correction; its problems say what and where.
    """
    with transaction(session):
        receipt = get_receipt(session, receipt_id, lock=True)
        refuse(_change_problems(receipt, change))
        line = get_material_line(session, receipt.line_id, lock=True) if receipt.line_id is not None else None
        was_complete = line is not None and line.accepted >= line.pieces
        session.add(
            ReceiptCorrection(
                receipt=receipt,
                pieces_before=receipt.pieces,
                rejected_before=receipt.rejected,
                heat_before=receipt.heat,
                reason=change.reason,
                corrected_at=now,
                corrected_by_id=by.id if by else None,
            )
        )
        receipt.pieces, receipt.rejected, receipt.heat = change.pieces, change.rejected, change.heat
        receipt.reject_reason = change.reject_reason if change.rejected else ""
        session.flush()
        if line is not None:
            _settle(session, line, now)
            if was_complete and line.accepted < line.pieces:
                line.closed_at = None
    return receipt


def _change_problems(receipt: Receipt, change: ReceiptChange) -> Iterator[Problem]:
    if (change.pieces, change.rejected, change.heat) == (receipt.pieces, receipt.rejected, receipt.heat):
        yield Problem("pieces", NothingCorrectedError())
    elif change.pieces < receipt.issued:
        yield Problem("pieces", BelowIssuedError(receipt.issued))
    elif change.pieces or change.rejected:
        yield from _count_problems(change.pieces, change.rejected, change.reject_reason, change.heat)
    if not change.reason:
        yield Problem("reason", CorrectionReasonError())
    elif len(change.reason) > LONGEST_TEXT:
        yield Problem("reason", TooLongError(LONGEST_TEXT))
