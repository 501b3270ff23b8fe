"""Issuing pieces of a receipt to a lot, taking them back, and recounting what was issued."""

from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.material.errors import IssueQuantityError, NotAtHandError, NotIssuedError
from app.material.models import Issue, Receipt
from app.material.queries import get_receipt, net_issued
from app.people.models import Person
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class CountDifference:
    """A receipt whose kept count of issued pieces is not the sum of its issues."""

    code: str
    kept: int
    counted: int


def issue(session: orm.Session, receipt_id: int, lot_id: int, pieces: int, by: Person | None, now: datetime) -> Issue:
    """Issue pieces of a receipt to a lot, as its blanks or as a component.

    Raises:
        ReceiptNotFoundError: there is no such receipt.
        IssueQuantityError: less than one piece.
        NotAtHandError: the receipt has fewer at hand.
    """
    if pieces < 1:
        raise IssueQuantityError
    with transaction(session):
        receipt = get_receipt(session, receipt_id, lock=True)
        if pieces > receipt.at_hand:
            raise NotAtHandError(receipt.code, receipt.at_hand)
        return _moved(session, receipt, lot_id, pieces, by, now)


def take_back(
    session: orm.Session, receipt_id: int, lot_id: int, pieces: int, by: Person | None, now: datetime
) -> Issue:
    """Take pieces back from a lot; they are at hand again on their receipt.

    Raises:
        ReceiptNotFoundError: there is no such receipt.
        IssueQuantityError: less than one piece.
        NotIssuedError: the lot holds fewer pieces of this receipt.
    """
    if pieces < 1:
        raise IssueQuantityError
    with transaction(session):
        receipt = get_receipt(session, receipt_id, lock=True)
        held = net_issued(session, receipt_id, lot_id)
        if pieces > held:
            raise NotIssuedError(receipt.code, held)
        return _moved(session, receipt, lot_id, -pieces, by, now)


def _moved(session: orm.Session, receipt: Receipt, lot_id: int, pieces: int, by: Person | None, now: datetime) -> Issue:
    receipt.issued += pieces
    moved = Issue(receipt=receipt, lot_id=lot_id, pieces=pieces, issued_at=now, issued_by_id=by.id if by else None)
    session.add(moved)
    return moved


def recount_issued(session: orm.Session) -> list[CountDifference]:
    """Return the receipts whose kept count of issued pieces differs from their issues; an empty list is good."""
    counted = sa.func.coalesce(sa.func.sum(Issue.pieces), 0)
    found = session.execute(
        sa.select(Receipt, counted)
        .outerjoin(Receipt.issues)
        .group_by(Receipt.id)
        .having(counted != Receipt.issued)
        .order_by(Receipt.number)
    )
    return [CountDifference(receipt.code, receipt.issued, int(pieces)) for receipt, pieces in found]
