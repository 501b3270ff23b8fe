"""Reads of lots for pages."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeError, CodeKind, parse_code
from app.lots.errors import LotNotFoundError
from app.lots.models import (
    Entry,
    Job,
    Lot,
    LotComponent,
    LotDelivery,
    LotOperation,
    Place,
    Posting,
    TravelerPrint,
    Verb,
)
from app.lots.queries.changes import LotChange, changes_of, removed_operations, since_issue
from app.lots.queries.joins import Heats, heats_through
from app.lots.queries.planned import (
    Actual,
    actual_times,
    estimated_operations,
    job_lines_by_operation,
    planned_run_seconds,
)
from app.material.queries import IssuedPieces, issued_to_lot
from app.orders.models import CustomerOrder, Delivery, OrderLine
from app.parts.models import Part, Revision
from app.people.models import Person
from app.shared.paging import Page, contains, paged
from app.shared.words import gettext

SHORTEST_GRADUATION = 900
"""Seconds: an operation is drawn at least this long, so that it can be seen."""
UNDONE_ELSEWHERE = frozenset(
    {
        *(Verb.START, Verb.SPLIT, Verb.JOIN, Verb.SHIP, Verb.TAKE_BACK),
        *(Verb.MEAN_FOR, Verb.CHANGE_LOT, Verb.UNDO),
    }
)
"""Release, split, join, shipment, return, change and what a lot is meant for have their own pages; an undo stays."""


class Shown(StrEnum):
    """Which lots a list shows."""

    OPEN = "open"
    HELD = "on hold"
    IN_STOCK = "in stock"
    FINISHED = "finished"
    ALL = "all"


def _for_list() -> sa.Select[Lot]:
    return (
        sa.select(Lot)
        .join(Lot.revision)
        .join(Revision.part)
        .options(
            orm.contains_eager(Lot.revision).contains_eager(Revision.part),
            orm.selectinload(Lot.operations).joinedload(LotOperation.work_center),
            orm.selectinload(Lot.deliveries)
            .joinedload(LotDelivery.delivery)
            .joinedload(Delivery.line)
            .options(
                orm.joinedload(OrderLine.revision),
                orm.joinedload(OrderLine.order).joinedload(CustomerOrder.customer),
            ),
        )
    )


def lots_page(session: orm.Session, text: str, shown: Shown, number: int) -> Page[Lot]:
    """Return a page of lots: open ones by due date, finished ones newest first."""
    chosen = _for_list()
    if shown is Shown.OPEN:
        chosen = chosen.where(Lot.closed_at.is_(None))
    elif shown is Shown.HELD:
        held = sa.exists().where(LotOperation.lot_id == Lot.id, LotOperation.held > 0)
        chosen = chosen.where(Lot.closed_at.is_(None), sa.or_(Lot.hold_reason != "", held))
    elif shown is Shown.IN_STOCK:
        chosen = chosen.where(Lot.in_stock > 0)
    elif shown is Shown.FINISHED:
        chosen = chosen.where(Lot.closed_at.is_not(None))
    if text:
        chosen = chosen.where(_matches(text))
    if shown in {Shown.OPEN, Shown.HELD}:
        chosen = chosen.order_by(Lot.due_on.is_(None), Lot.due_on, Lot.number)
    else:
        chosen = chosen.order_by(Lot.number.desc())
    return paged(session, chosen, number)


def _matches(text: str) -> sa.ColumnElement[bool]:
    number = lot_number(text)
    if number is not None:
        return Lot.number == number
    return sa.or_(contains(Part.number, text), contains(Part.name, text))


def lot_number(text: str) -> int | None:
    """Return the number of a lot whose code was typed or scanned, or None for any other text."""
    try:
        code = parse_code(text)
    except CodeError:
        return None
    return code.number if code.kind is CodeKind.LOT else None


def get_lot(session: orm.Session, lot_id: int) -> Lot:
    """Return a lot with its part, operations, components and deliveries.

    Raises:
        LotNotFoundError: no such lot.
    """
    lot = session.scalars(
        _for_list()
        .where(Lot.id == lot_id)
        .options(
            orm.selectinload(Lot.operations).options(
                orm.joinedload(LotOperation.kind), orm.joinedload(LotOperation.sent_to)
            ),
            orm.selectinload(Lot.operations).selectinload(LotOperation.components).joinedload(LotComponent.part),
        )
    ).one_or_none()
    if lot is None:
        raise LotNotFoundError(str(lot_id))
    return lot


def lots_of_order(session: orm.Session, order_id: int) -> list[Lot]:
    """Return the lots that serve an order's deliveries, first released first; one statement."""
    serving = (
        sa.select(LotDelivery.lot_id)
        .join(LotDelivery.delivery)
        .join(Delivery.line)
        .where(OrderLine.order_id == order_id)
    )
    chosen = sa.select(Lot).where(Lot.id.in_(serving)).order_by(Lot.number)
    return list(session.scalars(chosen.options(orm.joinedload(Lot.revision).joinedload(Revision.part))))


@dataclass(frozen=True, slots=True)
class OperationStory:
    """One operation of a lot: planned against actual; ``estimated``: some of its times are not known, and left out."""

    operation: LotOperation
    planned_seconds: int
    actual: Actual
    jobs: list[Job]
    estimated: bool


@dataclass(frozen=True, slots=True)
class LotStory:
    """Everything a lot's page tells."""

    lot: Lot
    operations: list[OperationStory]
    postings: list[Posting]
    undone: frozenset[int]
    blanks: list[IssuedPieces]
    heats: list[Heats]
    children: Sequence[Lot]
    parent: Lot | None
    joined_into: Lot | None
    last_print: TravelerPrint | None
    changes: list[LotChange]
    removed: list[LotOperation]

    def spot(self, place: Place, operation_id: int | None) -> str:
        """Say where an entry's pieces were or are."""
        for operation in (*self.lot.operations, *self.removed):
            if operation.id == operation_id:
                return gettext("%(place)s at %(number)s", place=gettext(place.value), number=operation.number)
        return gettext(place.value)

    @property
    def since_last_print(self) -> list[LotChange]:
        """Return what changed since the traveler was last printed; nothing where it never was."""
        return since_issue(self.changes, self.last_print.issue) if self.last_print else []

    @property
    def other_revision(self) -> list[LotDelivery]:
        """Return the deliveries that are not filled, that the lot was meant for, and that ask for another revision."""
        waiting = [share for share in self.lot.deliveries if share.delivery.closed_at is None]
        return [each for each in waiting if each.shipped < each.quantity and not each.of_the_revision]

    def can_undo(self, posting: Posting) -> bool:
        """Say whether an entry can be tried to be undone on this page."""
        return posting.verb not in UNDONE_ELSEWHERE and posting.id not in self.undone


def lot_rule(lot: Lot) -> list[dict[str, object]]:
    """Return a lot's operations as graduations of the rule: as long as their planned hours, filled as pieces pass."""
    return [
        {
            "number": operation.number,
            "name": operation.title,
            "hours": max(_planned_seconds(lot, operation), SHORTEST_GRADUATION) / 3600,
            "passed": _share(operation.passed, operation),
            "held": _share(operation.held, operation),
        }
        for operation in lot.operations
        if not operation.skipped
    ]


def _planned_seconds(lot: Lot, operation: LotOperation) -> int:
    return operation.setup_seconds + planned_run_seconds(operation, lot.started, lot.revision.piece_grams)


def _share(pieces: int, operation: LotOperation) -> float:
    come_so_far = operation.present + operation.done
    return pieces / come_so_far if come_so_far else 0.0


def lot_story(session: orm.Session, lot_id: int, now: datetime) -> LotStory:
    """Load a lot's whole page in a fixed number of statements.

    Raises:
        LotNotFoundError: no such lot.
    """
    lot = get_lot(session, lot_id)
    postings = ledger_of(session, lot.id)
    return LotStory(
        lot=lot,
        operations=_stories(session, lot, postings, now),
        postings=postings[::-1],
        undone=frozenset(posting.reverses_id for posting in postings if posting.reverses_id),
        blanks=issued_to_lot(session, lot.id),
        children=session.scalars(sa.select(Lot).where(Lot.parent_id == lot.id).order_by(Lot.number)).all(),
        heats=heats_through(session, lot.id),
        parent=session.get(Lot, lot.parent_id) if lot.parent_id else None,
        joined_into=_joined_into(session, lot, postings),
        last_print=last_print(session, lot.id),
        changes=changes_of(session, lot.id),
        removed=removed_operations(session, lot.id),
    )


def _joined_into(session: orm.Session, lot: Lot, postings: list[Posting]) -> Lot | None:
    joins = [entry for posting in postings if posting.verb is Verb.JOIN for entry in posting.entries]
    into = [entry.other_lot_id for entry in joins if entry.lot_id == lot.id and entry.to_place is Place.OTHER_LOT]
    return session.get(Lot, into[-1]) if into else None


def _stories(session: orm.Session, lot: Lot, postings: list[Posting], now: datetime) -> list[OperationStory]:
    jobs = session.scalars(
        sa.select(Job)
        .where(Job.operation_id.in_([operation.id for operation in lot.operations]))
        .options(orm.joinedload(Job.station), orm.joinedload(Job.person))
    ).all()
    lines = job_lines_by_operation(postings)
    estimated = estimated_operations(postings)
    return [
        OperationStory(
            operation,
            _planned_seconds(lot, operation),
            actual_times(lines.get(operation.id, []), now),
            [job for job in jobs if job.operation_id == operation.id],
            operation.id in estimated,
        )
        for operation in lot.operations
    ]


def ledger_of(session: orm.Session, lot_id: int) -> list[Posting]:
    """Return a lot's postings with their entries and people, in the ledger's order."""
    chosen = sa.select(Entry.posting_id).where(Entry.lot_id == lot_id)
    return list(
        session.scalars(
            sa.select(Posting)
            .where(Posting.id.in_(chosen))
            .order_by(Posting.happened_at, Posting.recorded_at, Posting.id)
            .options(
                orm.selectinload(Posting.entries),
                orm.joinedload(Posting.person),
                orm.joinedload(Posting.recorded_by),
                orm.joinedload(Posting.station),
            )
        )
    )


def last_print(session: orm.Session, lot_id: int) -> TravelerPrint | None:
    """Return when the lot's traveler was last printed."""
    return session.scalars(
        sa.select(TravelerPrint).where(TravelerPrint.lot_id == lot_id).order_by(TravelerPrint.id.desc()).limit(1)
    ).one_or_none()


def person_names(session: orm.Session, person_ids: Sequence[int | None]) -> dict[int, str]:
    """Return the names of some people."""
    wanted = [each for each in person_ids if each is not None]
    return {row[0]: row[1] for row in session.execute(sa.select(Person.id, Person.name).where(Person.id.in_(wanted)))}
