"""What changed about a lot since it was released, and so since a traveler was printed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Lot, LotOperation, Place, Posting, TravelerPrint, Verb
from app.parts.models import KindRole, Revision, Taking
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


def is_begun(operation: LotOperation) -> bool:
    """Say whether an operation is begun: pieces are in work, held, scrapped or away there, or have passed it.

    One that orders the blanks counts as begun: the lot begins there. A skipped one, which pieces pass over, does not.
    """
    if operation.kind.role is KindRole.BLANKS:
        return True
    counts = operation.in_work + operation.counted + operation.held + operation.done
    by_others = operation.kind.role is KindRole.OUTSIDE or operation.taking is Taking.LEAD_TIME
    return not operation.skipped and bool(counts or (by_others and operation.waiting))


def left_from(session: orm.Session, lot_id: int) -> set[int]:
    """Return the operations from which pieces of a lot went into another; one statement."""
    chosen = sa.select(Entry.from_operation_id).where(Entry.lot_id == lot_id, Entry.to_place == Place.OTHER_LOT)
    return {each for each in session.scalars(chosen) if each is not None}


def changed_since_print(session: orm.Session, lot_id: int, issue: int | None) -> list[LotChange]:
    """Return what changed about a lot since the print that somebody holds; two statements at most.

    ``issue`` is what its square code says. Other codes do not say it: then it can be no newer than the last print.
    """
    changes = changes_of(session, lot_id)
    if not changes:
        return []
    if issue is None:
        chosen = sa.select(sa.func.max(TravelerPrint.issue)).where(TravelerPrint.lot_id == lot_id)
        issue = session.scalars(chosen).one() or issue_of(changes)
    return since_issue(changes, issue)


def removed_operations(session: orm.Session, lot_id: int) -> list[LotOperation]:
    """Return what was a lot's routing once and is kept for the ledger."""
    chosen = sa.select(LotOperation).where(LotOperation.lot_id == lot_id, LotOperation.removed)
    return list(session.scalars(chosen.order_by(LotOperation.id)))


@dataclass(frozen=True, slots=True)
class ChangeOffer:
    """What can be changed about a lot.

    Attributes:
        lot: with its operations.
        places: the operations after which another can come, with None for the very beginning where that is open.
        movable: those that can stand elsewhere.
        skippable: those that can be skipped.
        skipped: those that can be done after all.
        revisions: those of the part.
    """

    lot: Lot
    places: list[LotOperation | None]
    movable: list[LotOperation]
    skippable: list[LotOperation]
    skipped: list[LotOperation]
    revisions: list[Revision]


def change_offer(session: orm.Session, lot: Lot) -> ChangeOffer:
    """Return what can be changed about a lot that was loaded with ``get_lot``; two statements."""
    left = left_from(session, lot.id)
    fixed = [place for place, each in enumerate(lot.operations) if is_begun(each) or each.id in left]
    after = max(fixed, default=-1) + 1
    free = lot.operations[after:]
    revisions = sa.select(Revision).where(Revision.part_id == lot.revision.part_id).order_by(Revision.id)
    return ChangeOffer(
        lot=lot,
        places=[lot.operations[after - 1] if after else None, *free],
        movable=free,
        skippable=[each for each in lot.operations if not each.skipped and not is_begun(each)],
        skipped=[each for each in free if each.skipped],
        revisions=list(session.scalars(revisions)),
    )
