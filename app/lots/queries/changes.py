"""What changed about a lot since it was released, and so since a traveler was printed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, LotOperation, Posting, Verb
from app.people.models import Person

CHANGES = (Verb.CHANGE_LOT, Verb.JOIN)


@dataclass(frozen=True, slots=True)
class LotChange:
    """One change of a lot: in words what, when, by whom and why."""

    words: str
    happened_at: datetime
    recorded_at: datetime
    who: str
    reason: str


def changes_of(session: orm.Session, lot_id: int) -> list[LotChange]:
    """Return all changes of a lot in the order in which they were made; one statement."""
    rows = session.execute(
        sa.select(Entry.reason, Posting.happened_at, Posting.recorded_at, Person.name, Posting.reason)
        .join(Entry.posting)
        .outerjoin(Person, Posting.person_id == Person.id)
        .where(Entry.lot_id == lot_id, Posting.verb.in_(CHANGES), Entry.reason != "")
        .order_by(Posting.id, Entry.id)
    )
    return [LotChange(row[0], row[1], row[2], row[3] or "", row[4]) for row in rows]


def issue_of(changes: Sequence[LotChange]) -> int:
    """Return which issue of the traveler prints now: 1 as released, one more with each change."""
    return len(changes) + 1


def since_issue(changes: Sequence[LotChange], issue: int) -> list[LotChange]:
    """Return what changed since an issue of the traveler was printed."""
    return list(changes[max(0, issue - 1) :])


def issues(session: orm.Session, lot_ids: Iterable[int]) -> dict[int, int]:
    """Return which issue of its traveler each of some lots prints now; one statement."""
    wanted = list(lot_ids)
    rows = session.execute(
        sa.select(Entry.lot_id, sa.func.count(Entry.id))
        .join(Entry.posting)
        .where(Entry.lot_id.in_(wanted), Posting.verb.in_(CHANGES), Entry.reason != "")
        .group_by(Entry.lot_id)
    )
    changed = {lot_id: int(count) for lot_id, count in rows}
    return {lot_id: changed.get(lot_id, 0) + 1 for lot_id in wanted}


def removed_operations(session: orm.Session, lot_id: int) -> list[LotOperation]:
    """Return what was a lot's routing once and is kept for the ledger."""
    chosen = sa.select(LotOperation).where(LotOperation.lot_id == lot_id, LotOperation.removed)
    return list(session.scalars(chosen.order_by(LotOperation.id)))
