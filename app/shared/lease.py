"""Leases: of several processes that could do the same work on one database, one at a time does it."""

from datetime import datetime, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model, lock_row, transaction

STALE_AFTER: Final = timedelta(seconds=20)
"""A holder that has given no sign of life for so long has gone, and another may take over."""
BEAT_EVERY: Final = timedelta(seconds=5)
"""How often a holder shows a sign of life."""


class Lease(Model):
    """Which process does one kind of work on this database, and its last sign of life."""

    __tablename__ = "lease"

    work: orm.Mapped[str] = orm.mapped_column(primary_key=True)
    """The kind of work, such as ``planner``."""
    holder: orm.Mapped[str]
    heartbeat_at: orm.Mapped[datetime]


def hold_lease(session: orm.Session, work: str, holder: str, now: datetime) -> bool:
    """Take a lease, or show a sign of life where ``holder`` has it; say whether it is held now."""
    try:
        with transaction(session):
            lease = lock_row(session, Lease, work)
            if lease is None:
                session.add(Lease(work=work, holder=holder, heartbeat_at=now))
                return True
            if lease.holder != holder and now - lease.heartbeat_at < STALE_AFTER:
                return False
            lease.holder, lease.heartbeat_at = holder, now
    except sa.exc.IntegrityError:  # two processes made the first row at the same moment
        return False
    return True


def still_holds(session: orm.Session, work: str, holder: str) -> bool:
    """Say whether ``holder`` has the lease, and let nobody take it before this transaction ends."""
    lease = lock_row(session, Lease, work)
    return lease is not None and lease.holder == holder


def give_up_lease(session: orm.Session, work: str, holder: str) -> None:
    """Let another process have the lease at once; nothing happens where ``holder`` does not have it."""
    with transaction(session):
        lease = lock_row(session, Lease, work)
        if lease is not None and lease.holder == holder:
            session.delete(lease)


class HeldLease:
    """One process's hold on a lease, which writes a sign of life only when it is time for one."""

    def __init__(self, engine: sa.Engine, work: str, holder: str) -> None:
        self._engine = engine
        self._work = work
        self._holder = holder
        self._beat_at: datetime | None = None
        self._held = False

    def hold(self, now: datetime) -> bool:
        """Take the lease or show a sign of life where it is time; say whether it is held."""
        if self._beat_at is None or not timedelta() <= now - self._beat_at < BEAT_EVERY:
            with orm.Session(self._engine) as session:
                self._held = hold_lease(session, self._work, self._holder, now)
            self._beat_at = now
        return self._held

    def leave(self) -> None:
        """Let another process take over at once."""
        with orm.Session(self._engine) as session:
            give_up_lease(session, self._work, self._holder)
        self._beat_at, self._held = None, False
