"""Moving the day on which the rest of a purchase is expected; each earlier day stays on record."""

from datetime import date, datetime

from sqlalchemy import orm

from app.material.models import MaterialOrderLine
from app.material.queries import get_material_line
from app.material.services import change_expected
from app.people.models import Person
from app.purchasing.errors import MoveReasonError, SameDayError
from app.purchasing.models import ExpectedChange
from app.shared.database import transaction


def move_expected(
    session: orm.Session, line_id: int, expected_on: date, reason: str, *, by: Person | None, now: datetime
) -> MaterialOrderLine:
    """Expect the rest of a line on another day, and keep the day it was expected on with the reason.

    Raises:
        MaterialOrderNotFoundError: there is no such line.
        MoveReasonError: no reason is given.
        SameDayError: it is expected on that day already.
        LineClosedError: nothing more is expected on it.
        ExpectedBeforeOrderedError: the day lies before the purchase.
    """
    if not reason:
        raise MoveReasonError
    with transaction(session):
        line = get_material_line(session, line_id, lock=True)
        before = line.expected_on
        if before == expected_on:
            raise SameDayError(before)
        change_expected(session, line_id, expected_on)
        session.add(
            ExpectedChange(
                line_id=line_id,
                expected_before=before,
                reason=reason,
                changed_at=now,
                changed_by_id=by.id if by else None,
            )
        )
    return line
