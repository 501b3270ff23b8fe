"""The lease that lets one planner at a time work on a database."""

from datetime import datetime, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.schedule.models import PlannerLease
from app.shared.database import lock_row, transaction

ONLY_ROW: Final = 1
STALE_AFTER: Final = timedelta(seconds=20)
"""A holder that has given no sign of life for so long has gone, and another may take over."""


def hold_lease(session: orm.Session, holder: str, now: datetime) -> bool:
    """Take the lease, or show a sign of life where ``holder`` has it; say whether it is held now."""
    try:
        with transaction(session):
            lease = lock_row(session, PlannerLease, ONLY_ROW)
            if lease is None:
                session.add(PlannerLease(id=ONLY_ROW, holder=holder, heartbeat_at=now))
                return True
            if lease.holder != holder and now - lease.heartbeat_at < STALE_AFTER:
                return False
            lease.holder, lease.heartbeat_at = holder, now
    except sa.exc.IntegrityError:  # two planners made the first row at the same moment
        return False
    return True


def give_up_lease(session: orm.Session, holder: str) -> None:
    """Let another planner have the lease at once; nothing happens where ``holder`` does not have it."""
    with transaction(session):
        lease = lock_row(session, PlannerLease, ONLY_ROW)
        if lease is not None and lease.holder == holder:
            session.delete(lease)
