"""What blanks the lots wait for, and which of them nobody has ordered yet."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.material import queries as material_queries
from app.material.models import Issue, MaterialOrder, MaterialOrderLine, Receipt
from app.parts.models import BlankSource, KindRole, OperationKind, Revision
from app.purchasing.models import Purpose
from app.purchasing.queries.cover import Need, Supply, cover, lot_rank
from app.schedule.models import LotForecast
from app.schedule.queries import lot_outlooks
from app.shared.words import gettext

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ToOrder:
    """Blanks of one revision that must be ordered, for which lots, and by when.

    Attributes:
        revision: whose blanks, with its part.
        needs: the lots, first in rank first, each with pieces to order.
        needed_by: the day they must be here so that the first of the lots is not late; missing where no lot is due.
        order_by: the weekday by which they must be ordered for that.
    """

    revision: Revision
    needs: list[Need]
    needed_by: date | None
    order_by: date | None

    @property
    def pieces(self) -> int:
        """Return how many pieces must be ordered."""
        return sum(need.to_order for need in self.needs)

    @property
    def units(self) -> int:
        """Return how many of the vendor's pieces, plates or bars that takes."""
        return -(-self.pieces // self.revision.pieces_per_unit)

    @property
    def from_customer(self) -> bool:
        """Say whether the customer sends them."""
        return self.revision.blank_source is BlankSource.CUSTOMER

    @property
    def what(self) -> str:
        """Return in a few words what it is: the blank, and which revision it is for."""
        item = f"{self.revision.part.number} {self.revision.label}"
        blank = self.revision.blank or gettext("Blanks")
        if self.from_customer:
            return gettext("%(blank)s for %(item)s, from the customer", blank=blank, item=item)
        return gettext("%(blank)s for %(item)s", blank=blank, item=item)


def blanks_to_order(session: orm.Session, today: date) -> list[ToOrder]:
    """Return the blanks that lots wait for and nobody has ordered, soonest to be ordered first; six statements."""
    return to_order(session, blank_needs(session), today)


def to_order(session: orm.Session, needs: Iterable[Need], today: date) -> list[ToOrder]:
    """Return what of some needs, covered already, must be ordered, by revision; one statement."""
    by_revision: dict[int, list[Need]] = defaultdict(list)
    for need in needs:
        if need.to_order:
            by_revision[need.lot.revision_id].append(need)
    outlooks = lot_outlooks(session, [need.lot.id for each in by_revision.values() for need in each])
    found = [_to_order(each, outlooks, today) for each in by_revision.values()]
    return sorted(found, key=lambda each: (each.order_by is None, each.order_by or today, each.what))


def _to_order(needs: list[Need], outlooks: dict[int, LotForecast], today: date) -> ToOrder:
    days = [(_needed_by(need, outlooks.get(need.lot.id), today), need.lead_days) for need in needs]
    known = [(day, lead) for day, lead in days if day is not None]
    return ToOrder(
        revision=needs[0].lot.revision,
        needs=needs,
        needed_by=min((day for day, _lead in known), default=None),
        order_by=min((_weekday_until(day - timedelta(days=lead)) for day, lead in known), default=None),
    )


def _needed_by(need: Need, outlook: LotForecast | None, today: date) -> date | None:
    """Return the weekday by which a lot's blanks must be here.

    The forecast orders them today; where the lot then has slack, they may come that many days later, and where it is
    late, they should have come that many days sooner. Without a forecast its due date has to do.
    """
    day = need.lot.due_on
    if outlook is not None and outlook.slack_seconds is not None:
        day = today + timedelta(days=need.lead_days) + (outlook.slack_seconds // 86_400) * ONE_DAY
    return None if day is None else _weekday_until(day)


def _weekday_until(day: date) -> date:
    """Return ``day``, or the Friday before it: nobody orders or delivers on a weekend (common practice, no source)."""
    return day - max(0, day.weekday() - 4) * ONE_DAY


def blank_needs(session: orm.Session, revision_ids: Collection[int] | None = None) -> list[Need]:
    """Return what each lot waits for at its blank-ordering operation and where it will come from; five statements.

    First in rank first; of all revisions, or of some.
    """
    waiting = _waiting_operations(session, revision_ids)
    needs = sorted((_need(operation) for operation in waiting), key=lambda need: lot_rank(need.lot))
    by_revision: dict[int, list[Need]] = defaultdict(list)
    for need in needs:
        by_revision[need.lot.revision_id].append(need)
    for revision_id, supplies in read_supplies(session, by_revision, [need.lot.id for need in needs]).items():
        cover(by_revision[revision_id], supplies)
    return needs


def _waiting_operations(session: orm.Session, revision_ids: Collection[int] | None) -> Iterable[LotOperation]:
    chosen = (
        sa.select(LotOperation)
        .join(LotOperation.kind)
        .join(LotOperation.lot)
        .where(OperationKind.role == KindRole.BLANKS, LotOperation.waiting > 0, Lot.closed_at.is_(None))
        .options(
            orm.defer(LotOperation.instructions),
            orm.contains_eager(LotOperation.lot).joinedload(Lot.revision).joinedload(Revision.part),
        )
    )
    if revision_ids is not None:
        chosen = chosen.where(Lot.revision_id.in_(revision_ids))
    return session.scalars(chosen)


def _need(operation: LotOperation) -> Need:
    lead_days = operation.lot.revision.blank_lead_days or operation.lead_days
    return Need(operation.lot, operation.waiting, lead_days)


def read_supplies(
    session: orm.Session, revision_ids: Collection[int], lot_ids: Collection[int]
) -> dict[int, list[Supply]]:
    """Return what is at hand and on order of some revisions' blanks, soonest first; four statements.

    Args:
        session: where to read.
        revision_ids: whose blanks.
        lot_ids: the lots whose purchases are of interest.
    """
    open_lines = {line.id: line for line in material_queries.open_lines(session) if line.revision_id in revision_ids}
    at_hand = _at_hand(session, revision_ids)
    meant = meant_pieces(session, lot_ids)
    found: dict[int, list[Supply]] = {revision_id: [] for revision_id in revision_ids}
    for (revision_id, line_id), pieces in at_hand.items():
        if line_id not in open_lines:
            found[revision_id].append(Supply(None, pieces, 0, meant.get(line_id or 0, {})))
    for line in open_lines.values():
        revision_id = line.revision_id or 0
        stock = at_hand.get((revision_id, line.id), 0)
        found[revision_id].append(Supply(line, stock, line.still_expected, meant.get(line.id, {})))
    return found


def _at_hand(session: orm.Session, revision_ids: Collection[int]) -> dict[tuple[int, int | None], int]:
    """Return the pieces at hand by revision and purchase."""
    rows = session.execute(
        sa.select(Receipt.revision_id, Receipt.line_id, sa.func.sum(Receipt.pieces - Receipt.issued))
        .where(Receipt.revision_id.in_(revision_ids), Receipt.issued < Receipt.pieces)
        .group_by(Receipt.revision_id, Receipt.line_id)
    )
    return {(revision_id or 0, line_id): int(pieces) for revision_id, line_id, pieces in rows}


def meant_pieces(session: orm.Session, lot_ids: Collection[int]) -> dict[int, dict[int, int]]:
    """Return by purchase and lot how many pieces were bought for it and are not issued to it; one statement."""
    issued = (
        sa.select(sa.func.coalesce(sa.func.sum(Issue.pieces), 0))
        .join(Issue.receipt)
        .where(Receipt.line_id == Purpose.line_id, Issue.lot_id == Purpose.lot_id)
        .scalar_subquery()
    )
    found: dict[int, dict[int, int]] = defaultdict(dict)
    for purpose, pieces in session.execute(sa.select(Purpose, issued).where(Purpose.lot_id.in_(lot_ids))):
        found[purpose.line_id][purpose.lot_id] = max(0, purpose.pieces - int(pieces))
    return found


def last_purchases(session: orm.Session, revision_ids: Collection[int]) -> dict[int, MaterialOrderLine]:
    """Return the last purchase of each revision's blanks with its vendor, where there was one; one statement."""
    last = (
        sa.select(sa.func.max(MaterialOrderLine.id))
        .where(MaterialOrderLine.revision_id.in_(revision_ids))
        .group_by(MaterialOrderLine.revision_id)
    )
    lines = session.scalars(
        sa.select(MaterialOrderLine)
        .where(MaterialOrderLine.id.in_(last))
        .options(orm.joinedload(MaterialOrderLine.order).joinedload(MaterialOrder.vendor))
    )
    return {line.revision_id or 0: line for line in lines}
