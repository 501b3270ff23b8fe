"""The shop's kinds of operation."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.errors import KindNotFoundError
from app.parts.models import OperationKind, RoutingOperation
from app.shared.database import lock_row


def all_kinds(session: orm.Session) -> list[OperationKind]:
    """Return the kinds by name."""
    return list(session.scalars(sa.select(OperationKind).order_by(sa.func.lower(OperationKind.name))))


def get_kind(session: orm.Session, kind_id: int, *, lock: bool = False) -> OperationKind:
    """Return one kind.

    Raises:
        KindNotFoundError: there is none with this key.
    """
    kind = lock_row(session, OperationKind, kind_id) if lock else session.get(OperationKind, kind_id)
    if kind is None:
        raise KindNotFoundError
    return kind


def kinds_in_use(session: orm.Session) -> set[int]:
    """Return the keys of the kinds that some routing uses."""
    return set(session.scalars(sa.select(RoutingOperation.kind_id).distinct()))
