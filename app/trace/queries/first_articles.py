"""The first article of a revision: each characteristic with its result, and whether all of it is accounted for.

The fields are those that AS9102 asks for: part number, product, and characteristic accountability. They are written
FROM MEMORY of its revision C; nobody here has compared them with the standard. The layout is our own.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import ComponentUse, Lot, LotCharacteristic, LotOperation, LotSheet
from app.lots.queries import get_lot, lot_name
from app.material.models import Receipt
from app.material.queries import IssuedPieces, issued_to_lots
from app.orders.models import CustomerOrder
from app.parts.models import KindRole, Part
from app.parts.queries import limits_words
from app.quality.models import Gauge, Nonconformance, Reading
from app.quality.queries import reading_words
from app.shared.words import gettext
from app.trace.queries.first_article_changes import changes_between, first_article_before
from app.trace.queries.lines import cell_text
from app.trace.queries.walking import lots_behind

MOST_OF_A_REVISION: Final = 200


@dataclass(frozen=True, slots=True)
class Accounted:
    """One characteristic of the drawing with what was measured on the first piece of it."""

    characteristic: LotCharacteristic
    operation: LotOperation
    reading: Reading | None
    nonconformance: int | None

    @property
    def requirement(self) -> str:
        """Return what the drawing asks for."""
        return limits_words(self.characteristic)

    @property
    def result(self) -> str:
        """Return what was measured, '' where nothing was."""
        return reading_words(self.reading) if self.reading else ""

    @property
    def tooling(self) -> str:
        """Return the gauge that measured it, or the kind that the plan asks for."""
        if self.reading and self.reading.gauge:
            return self.reading.gauge.name
        return self.characteristic.gauge_kind.name if self.characteristic.gauge_kind else ""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A component that went in: which part, how many, from which lot of ours or which receipt."""

    part: Part
    pieces: int
    source: Lot | None
    receipt: Receipt | None


@dataclass(frozen=True, slots=True)
class FirstArticle:
    """The report of one lot.

    Attributes:
        lot: with its part, operations and deliveries.
        orders: the customers' orders that it is for.
        material: the blanks it was cut from.
        components: what was fitted into it.
        rows: each characteristic of its plan, by number.
        drawings: the titles of the drawings and sheets that it was made by.
        lacking: why the report is only partial; empty where it is complete.
        gauges: what it was measured with, each gauge once.
        before: the lot of the first article before it; None where it is the part's first.
        changes: what has changed since then, in words.
    """

    lot: Lot
    orders: list[str]
    material: list[IssuedPieces]
    components: list[Fitted]
    rows: list[Accounted]
    drawings: list[str]
    lacking: list[str]
    gauges: list[Gauge]
    before: Lot | None
    changes: list[str]

    @property
    def number(self) -> str:
        """Return the number of the report."""
        return f"FA-{lot_name(self.lot)}"

    @property
    def outside(self) -> list[LotOperation]:
        """Return the operations that others do."""
        return [each for each in self.lot.operations if each.kind.role is KindRole.OUTSIDE and not each.skipped]

    @property
    def measured_until(self) -> datetime | None:
        """Return when the last of the results was taken."""
        return max((row.reading.happened_at for row in self.rows if row.reading), default=None)


def first_article(session: orm.Session, lot_id: int) -> FirstArticle:
    """Return the report of a lot, from its own record and that of the lots it came from.

    Raises:
        LotNotFoundError: there is no such lot.
    """
    lot = get_lot(session, lot_id)
    behind = lots_behind(session, [lot_id])
    rows = _accounted(session, lot, behind)
    material = [held for each in issued_to_lots(session, behind).values() for held in each if held.receipt.revision_id]
    own = [held for held in material if held.receipt.revision_id == lot.revision_id]
    orders = sorted({_order_words(each.delivery.line.order) for each in lot.deliveries})
    sheets = sa.select(LotSheet.title).join(LotOperation).where(LotOperation.lot_id == lot_id, ~LotOperation.skipped)
    drawings = sorted(set(session.scalars(sheets)))
    before = first_article_before(session, lot)
    return FirstArticle(
        lot=lot,
        orders=orders,
        material=own,
        components=_fitted(session, lot, behind),
        rows=rows,
        drawings=drawings,
        lacking=_lacking(rows, own),
        gauges=_gauges(rows),
        before=before,
        changes=changes_between(session, before, lot) if before else [],
    )


def _gauges(rows: list[Accounted]) -> list[Gauge]:
    used = {row.reading.gauge.id: row.reading.gauge for row in rows if row.reading and row.reading.gauge}
    return sorted(used.values(), key=lambda each: each.name)


@dataclass(frozen=True, slots=True)
class MadeTo:
    """A lot made to a revision, with how much of its plan has a result."""

    lot: Lot
    planned: int
    measured: int


def lots_made_to(session: orm.Session, revision_id: int) -> list[MadeTo]:
    """Return the lots released to a revision, the first one first, as far as one page shows; one statement."""
    planned = sa.func.count(sa.distinct(LotCharacteristic.id))
    measured = sa.func.count(sa.distinct(Reading.characteristic_id))
    rows = session.execute(
        sa.select(Lot, planned.label("planned"), measured.label("measured"))
        .outerjoin(LotOperation, sa.and_(LotOperation.lot_id == Lot.id, ~LotOperation.skipped))
        .outerjoin(LotCharacteristic, LotCharacteristic.operation_id == LotOperation.id)
        .outerjoin(Reading, sa.and_(Reading.characteristic_id == LotCharacteristic.id, Reading.struck_at.is_(None)))
        .where(Lot.revision_id == revision_id, Lot.parent_id.is_(None))
        .group_by(Lot.id)
        .order_by(Lot.id)
        .limit(MOST_OF_A_REVISION)
    )
    return [MadeTo(row[0], row.planned, row.measured) for row in rows]


def _order_words(order: CustomerOrder) -> str:
    return f"{order.their_number} ({order.customer.name})"


def _accounted(session: orm.Session, lot: Lot, behind: frozenset[int]) -> list[Accounted]:
    operations = {each.id: each for each in lot.operations if not each.skipped}
    planned = session.scalars(
        sa.select(LotCharacteristic)
        .where(LotCharacteristic.operation_id.in_(operations))
        .order_by(LotCharacteristic.number)
        .options(orm.joinedload(LotCharacteristic.gauge_kind))
    ).all()
    first = _first_readings(session, [each.characteristic_id for each in planned], behind)
    out = sa.select(Nonconformance.reading_id, Nonconformance.number)
    rows = session.execute(out.where(Nonconformance.reading_id.in_([reading.id for reading in first.values()])))
    found = {row.reading_id: row.number for row in rows}
    return [
        Accounted(each, operations[each.operation_id], reading, found.get(reading.id) if reading else None)
        for each in planned
        for reading in [first.get(each.characteristic_id)]
    ]


def _first_readings(session: orm.Session, planned: list[int], behind: frozenset[int]) -> dict[int, Reading]:
    """Return the last reading of the first piece that was measured, for each characteristic of the revision."""
    place = sa.func.row_number().over(
        partition_by=LotCharacteristic.characteristic_id,
        order_by=(Reading.piece, Reading.happened_at.desc(), Reading.id.desc()),
    )
    ranked = (
        sa.select(Reading.id, LotCharacteristic.characteristic_id, place.label("place"))
        .join(LotCharacteristic, Reading.characteristic_id == LotCharacteristic.id)
        .join(LotCharacteristic.operation)
        .where(
            LotCharacteristic.characteristic_id.in_(planned),
            LotOperation.lot_id.in_(behind),
            Reading.struck_at.is_(None),
        )
        .subquery()
    )
    rows = session.execute(
        sa.select(ranked.c.characteristic_id, Reading)
        .join(ranked, ranked.c.id == Reading.id)
        .where(ranked.c.place == 1)
        .options(
            orm.joinedload(Reading.gauge).options(orm.joinedload(Gauge.kind), orm.selectinload(Gauge.calibrations)),
            orm.joinedload(Reading.person),
            orm.joinedload(Reading.characteristic),
        )
    )
    return {row[0]: row[1] for row in rows}


def _fitted(session: orm.Session, lot: Lot, behind: frozenset[int]) -> list[Fitted]:
    total = sa.func.sum(ComponentUse.pieces)
    source = orm.aliased(Lot)
    rows = session.execute(
        sa.select(Part, total.label("pieces"), source, Receipt)
        .select_from(ComponentUse)
        .join(LotOperation, ComponentUse.operation_id == LotOperation.id)
        .join(Part, ComponentUse.part_id == Part.id)
        .outerjoin(source, ComponentUse.source_lot_id == source.id)
        .outerjoin(Receipt, ComponentUse.receipt_id == Receipt.id)
        .join(LotOperation.lot)
        .where(LotOperation.lot_id.in_(behind), Lot.revision_id == lot.revision_id)
        .group_by(Part.id, source.id, Receipt.id)
        .having(total > 0)
        .order_by(Part.number)
    )
    return [Fitted(row[0], int(row.pieces), row[2], row[3]) for row in rows]


def _lacking(rows: list[Accounted], material: list[IssuedPieces]) -> list[str]:
    lacking = []
    if not rows:
        lacking.append(gettext("the revision has no control plan"))
    missing = [str(row.characteristic.number) for row in rows if row.reading is None]
    if missing:
        lacking.append(gettext("no result of characteristic %(numbers)s", numbers=", ".join(missing)))
    out = [str(row.characteristic.number) for row in rows if row.reading and not row.reading.is_good]
    if out:
        lacking.append(gettext("out of tolerance: characteristic %(numbers)s", numbers=", ".join(out)))
    if not any(held.receipt.heat for held in material):
        lacking.append(gettext("no heat is on record"))
    return lacking


def first_article_lines(found: FirstArticle) -> tuple[list[str], list[list[str]]]:
    """Return the headings and lines of the file: a line for each characteristic, with what all of them share."""
    headings = [
        *(gettext("Report"), gettext("Part"), gettext("Name"), gettext("Revision"), gettext("Lot"), gettext("Heat")),
        *(gettext("Characteristic"), gettext("Designation"), gettext("Drawing zone"), gettext("Mark")),
        *(gettext("Requirement"), gettext("Result"), gettext("Piece"), gettext("Serial"), gettext("Gauge or tooling")),
        *(gettext("Nonconformance"), gettext("Measured by"), gettext("Measured"), gettext("Report is")),
    ]
    part, revision = found.lot.revision.part, found.lot.revision
    heats = ", ".join(sorted({held.receipt.heat for held in found.material if held.receipt.heat}))
    shared = [found.number, part.number, part.name, revision.label, lot_name(found.lot), heats]
    verdict = gettext("partial: %(why)s", why="; ".join(found.lacking)) if found.lacking else gettext("complete")
    return headings, [[*shared, *_line(row), verdict] for row in found.rows]


def _line(row: Accounted) -> list[str]:
    what, reading = row.characteristic, row.reading
    return [
        *(str(what.number), what.name, what.drawing_zone, what.special_mark, row.requirement, row.result),
        *((str(reading.piece), reading.serial) if reading else ("", "")),
        *(row.tooling, f"N{row.nonconformance}" if row.nonconformance else ""),
        *((reading.person.name if reading.person else "", cell_text(reading.happened_at)) if reading else ("", "")),
    ]
