"""Reads of receipts: what is at hand, and what went to which lot."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeError, CodeKind, parse_code
from app.material.errors import ReceiptNotFoundError
from app.material.models import Issue, MaterialOrder, MaterialOrderLine, Receipt, ReceiptCorrection
from app.parts.models import Part, Revision
from app.shared.codes import read_code
from app.shared.database import the_one
from app.shared.paging import Page, contains, paged


@dataclass(frozen=True, slots=True)
class IssuedPieces:
    """Pieces of one receipt that a lot holds, net of what was taken back."""

    receipt: Receipt
    pieces: int


def _receipts() -> sa.Select[Receipt]:
    return sa.select(Receipt).options(
        orm.joinedload(Receipt.revision).joinedload(Revision.part),
        orm.joinedload(Receipt.part),
        orm.joinedload(Receipt.line).joinedload(MaterialOrderLine.order).joinedload(MaterialOrder.vendor),
    )


def get_receipt(session: orm.Session, receipt_id: int, *, lock: bool = False) -> Receipt:
    """Return one receipt with its part and purchase.

    Args:
        session: where to read.
        receipt_id: which one.
        lock: hold its row until the end of the transaction.

    Raises:
        ReceiptNotFoundError: there is none with this id.
    """
    chosen = RECEIPT.with_for_update(of=Receipt).execution_options(populate_existing=True) if lock else RECEIPT
    return the_one(session, chosen, ReceiptNotFoundError, {"receipt_id": receipt_id})


RECEIPT = _receipts().where(Receipt.id == sa.bindparam("receipt_id"))


def receipt_by_code(session: orm.Session, typed: str) -> Receipt:
    """Return the receipt whose label was scanned or typed.

    Raises:
        CodeRefusedError: it is no code, or mistyped.
        ReceiptNotFoundError: it is no receipt's code, or there is no such receipt.
    """
    code = read_code(typed)
    if code.kind is not CodeKind.RECEIPT:
        raise ReceiptNotFoundError
    return receipt_by_number(session, code.number)


def receipt_by_number(session: orm.Session, number: int) -> Receipt:
    """Return the receipt with this number in its code.

    Raises:
        ReceiptNotFoundError: there is none.
    """
    return the_one(session, _receipts().where(Receipt.number == number), ReceiptNotFoundError)


def receipt_with_history(session: orm.Session, receipt_id: int) -> Receipt:
    """Return one receipt with its issues and corrections and who made them, in three statements.

    Raises:
        ReceiptNotFoundError: there is none with this id.
    """
    return the_one(
        session,
        _receipts()
        .where(Receipt.id == receipt_id)
        .options(
            orm.joinedload(Receipt.recorded_by),
            orm.joinedload(Receipt.line).selectinload(MaterialOrderLine.receipts),
            orm.selectinload(Receipt.issues).joinedload(Issue.issued_by),
            orm.selectinload(Receipt.corrections).joinedload(ReceiptCorrection.corrected_by),
        ),
        ReceiptNotFoundError,
    )


def at_hand_page(session: orm.Session, text: str, number: int) -> Page[Receipt]:
    """Return a page of receipts with pieces at hand, by part, then oldest first; ``text``: part, heat or code."""
    made = orm.aliased(Part)
    chosen = (
        _receipts()
        .outerjoin(Receipt.revision)
        .outerjoin(made, Revision.part_id == made.id)
        .outerjoin(Part, Receipt.part_id == Part.id)
        .where(Receipt.issued < Receipt.pieces)
        .order_by(sa.func.coalesce(made.number, Part.number), Revision.id, Receipt.received_on, Receipt.number)
    )
    if text:
        found = [contains(column, text) for column in (Part.number, Part.name, Receipt.heat)]
        in_made = [column.icontains(text, autoescape=True) for column in (made.number, made.name)]
        chosen = chosen.where(sa.or_(*found, *in_made, *_code_is(text)))
    return paged(session, chosen, number)


def _code_is(text: str) -> list[sa.ColumnElement[bool]]:
    try:
        code = parse_code(text)
    except CodeError:
        return []
    return [Receipt.number == code.number] if code.kind is CodeKind.RECEIPT else []


def any_receipts(session: orm.Session) -> bool:
    """Say whether anything ever came in."""
    return session.scalars(sa.select(Receipt.id).limit(1)).first() is not None


def receipts_at_hand(
    session: orm.Session, *, revision_id: int | None = None, part_id: int | None = None
) -> Sequence[Receipt]:
    """Return the receipts with pieces at hand, first received first: blanks of a revision, or a bought component."""
    return session.scalars(
        _receipts()
        .where(
            Receipt.issued < Receipt.pieces,
            Receipt.revision_id == revision_id if revision_id is not None else Receipt.part_id == part_id,
        )
        .order_by(Receipt.received_on, Receipt.number)
    ).all()


def blanks_at_hand(session: orm.Session, revision_ids: Iterable[int]) -> dict[int, int]:
    """Return how many blanks of each revision are at hand, 0 included; one statement."""
    return _at_hand(session, Receipt.revision_id, set(revision_ids))


def components_at_hand(session: orm.Session, part_ids: Iterable[int]) -> dict[int, int]:
    """Return how many pieces of each bought component are at hand, 0 included; one statement."""
    return _at_hand(session, Receipt.part_id, set(part_ids))


def _at_hand(
    session: orm.Session, of_what: orm.InstrumentedAttribute[int | None], asked: Collection[int]
) -> dict[int, int]:
    found = session.execute(
        sa.select(of_what, sa.func.sum(Receipt.pieces - Receipt.issued)).where(of_what.in_(asked)).group_by(of_what)
    )
    counts = {int(key): int(pieces) for key, pieces in found if key is not None}
    return {key: counts.get(key, 0) for key in asked}


def issued_to_lots(session: orm.Session, lot_ids: Iterable[int]) -> dict[int, list[IssuedPieces]]:
    """Return what each lot holds of which receipts, net of what was taken back, first issued first; two statements."""
    asked = set(lot_ids)
    sums = session.execute(
        sa.select(Issue.lot_id, Issue.receipt_id, sa.func.sum(Issue.pieces))
        .where(Issue.lot_id.in_(asked))
        .group_by(Issue.lot_id, Issue.receipt_id)
        .having(sa.func.sum(Issue.pieces) > 0)
        .order_by(sa.func.min(Issue.id))
    ).all()
    receipts = {
        receipt.id: receipt for receipt in session.scalars(_receipts().where(Receipt.id.in_({row[1] for row in sums})))
    }
    held: dict[int, list[IssuedPieces]] = {lot_id: [] for lot_id in asked}
    for lot_id, receipt_id, pieces in sums:
        held[lot_id].append(IssuedPieces(receipts[receipt_id], int(pieces)))
    return held


def issued_to_lot(session: orm.Session, lot_id: int) -> list[IssuedPieces]:
    """Return what one lot holds of which receipts and heats; two statements."""
    return issued_to_lots(session, [lot_id])[lot_id]


def net_issued(session: orm.Session, receipt_id: int, lot_id: int) -> int:
    """Return how many pieces of a receipt a lot holds."""
    found = session.scalars(
        sa.select(sa.func.coalesce(sa.func.sum(Issue.pieces), 0)).where(
            Issue.receipt_id == receipt_id, Issue.lot_id == lot_id
        )
    )
    return int(found.one())
