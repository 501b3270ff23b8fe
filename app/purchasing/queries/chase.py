"""What is on order: for which lots, since when it is overdue, and how late its vendor usually is."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.material import queries as material_queries
from app.material.models import ExpectedChange, MaterialOrderLine
from app.material.queries import UsualDelay
from app.parts.models import Revision
from app.purchasing.models import Purpose
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class _ToCome:
    """A line of a purchase with pieces still to come.

    Attributes:
        line: with its purchase, vendor and receipts.
        lots: the lots it was bought for, soonest due first.
        usual_delay: how late the vendor usually is, once late.
    """

    line: MaterialOrderLine
    lots: list[Lot]
    usual_delay: UsualDelay

    @property
    def what(self) -> str:
        """Return in a few words what is to come."""
        return what_of(self.line)


@dataclass(frozen=True, slots=True)
class ToChase(_ToCome):
    """A line whose expected day has passed; ``days_over`` are calendar days since."""

    days_over: int

    @property
    def vendor(self) -> str:
        """Return the vendor's name."""
        return self.line.order.vendor.name

    @property
    def pieces(self) -> int:
        """Return how many pieces are still to come."""
        return self.line.still_expected

    @property
    def expected_on(self) -> date:
        """Return the day it was expected on."""
        return self.line.expected_on

    @property
    def order_id(self) -> int:
        """Return the purchase's id."""
        return self.line.order_id


def what_of(line: MaterialOrderLine) -> str:
    """Return in a few words what a line is of: ``Sawn bar 50 for HB-100 A``, ``PIN-6 Dowel pin``."""
    if line.revision is None:
        return f"{line.item} {line.item_name}"
    return gettext("%(blank)s for %(item)s", blank=line.revision.blank or gettext("Blanks"), item=line.item)


def material_to_chase(session: orm.Session, today: date) -> list[ToChase]:
    """Return the lines that are overdue on ``today``, longest first; four statements."""
    lines = [line for line in material_queries.late_lines(session, today) if line.still_expected]
    lots = lots_of_lines(session, [line.id for line in lines])
    delays = material_queries.usual_delays(session, {line.order.vendor_id for line in lines})
    return [
        ToChase(line, lots[line.id], delays[line.order.vendor_id], (today - line.expected_on).days) for line in lines
    ]


@dataclass(frozen=True, slots=True)
class OnOrder(_ToCome):
    """An open line as the page of what to order shows it; ``first_expected`` is the day that was promised first."""

    first_expected: date


def lines_on_order(session: orm.Session) -> list[OnOrder]:
    """Return the open lines, soonest expected first; five statements."""
    lines = material_queries.open_lines(session)
    lots = lots_of_lines(session, [line.id for line in lines])
    delays = material_queries.usual_delays(session, {line.order.vendor_id for line in lines})
    first = first_expected(session, lines)
    return [OnOrder(line, lots[line.id], delays[line.order.vendor_id], first[line.id]) for line in lines]


def lots_of_lines(session: orm.Session, line_ids: Collection[int]) -> dict[int, list[Lot]]:
    """Return the lots that each line was bought for, soonest due first; one statement."""
    rows = session.scalars(
        sa.select(Purpose)
        .join(Purpose.lot)
        .where(Purpose.line_id.in_(line_ids))
        .order_by(Lot.due_on.is_(None), Lot.due_on, Lot.number)
        .options(orm.contains_eager(Purpose.lot).joinedload(Lot.revision).joinedload(Revision.part))
    )
    found: dict[int, list[Lot]] = defaultdict(list)
    for purpose in rows:
        found[purpose.line_id].append(purpose.lot)
    return found


def first_expected(session: orm.Session, lines: Sequence[MaterialOrderLine]) -> dict[int, date]:
    """Return the day on which each line was first expected; one statement."""
    moved = session.scalars(
        sa.select(ExpectedChange)
        .where(ExpectedChange.line_id.in_([line.id for line in lines]))
        .order_by(ExpectedChange.id.desc())
    )
    before = {change.line_id: change.expected_before for change in moved}
    return {line.id: before.get(line.id, line.expected_on) for line in lines}


def expected_changes(session: orm.Session, line_id: int) -> Sequence[ExpectedChange]:
    """Return how a line's expected day was moved, first move first, with who moved it; one statement."""
    return session.scalars(
        sa.select(ExpectedChange)
        .where(ExpectedChange.line_id == line_id)
        .order_by(ExpectedChange.id)
        .options(orm.joinedload(ExpectedChange.changed_by))
    ).all()
