"""Nonconformances: those about which something is to be decided, and one of them."""

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotCharacteristic, LotOperation
from app.material.models import Vendor
from app.parts.models import Revision
from app.quality.errors import NonconformanceNotFoundError
from app.quality.models import Disposition, Nonconformance, Reading
from app.shared.paging import Page, paged

_WITH_ALL = (
    orm.joinedload(Nonconformance.reading).options(
        orm.joinedload(Reading.characteristic).joinedload(LotCharacteristic.gauge_kind),
        orm.joinedload(Reading.gauge),
        orm.joinedload(Reading.person),
        orm.joinedload(Reading.station),
    ),
    orm.joinedload(Nonconformance.found_at)
    .joinedload(LotOperation.lot)
    .options(orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations)),
    orm.joinedload(Nonconformance.lot).options(
        orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations)
    ),
    orm.selectinload(Nonconformance.dispositions).options(
        orm.joinedload(Disposition.person),
        orm.joinedload(Disposition.to_operation),
        orm.joinedload(Disposition.vendor),
    ),
)


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where the suspect pieces may be: the operations of their lot at which any are."""

    operations: Sequence[LotOperation]
    found_at: LotOperation
    """The operation at which they were found, in the lot they are in now."""
    in_stock: int
    """Pieces of the lot that are finished."""

    @property
    def likely_id(self) -> int | None:
        """Return the operation at which they most likely are; None: in stock."""
        if self.found_at in self.operations:
            return self.found_at.id
        if self.in_stock:
            return None
        return self.operations[0].id if self.operations else self.found_at.id


def nonconformances(session: orm.Session, number: int, *, closed: bool) -> Page[Nonconformance]:
    """Return a page of nonconformances, the newest first: those still open, or those decided."""
    which = Nonconformance.closed_at.is_not(None) if closed else Nonconformance.closed_at.is_(None)
    chosen = sa.select(Nonconformance).where(which).order_by(Nonconformance.number.desc()).options(*_WITH_ALL)
    return paged(session, chosen, number)


def get_nonconformance(session: orm.Session, nonconformance_id: int, *, lock: bool = False) -> Nonconformance:
    """Return one nonconformance with all that belongs to it.

    Raises:
        NonconformanceNotFoundError: there is none.
    """
    chosen = sa.select(Nonconformance).where(Nonconformance.id == nonconformance_id).options(*_WITH_ALL)
    if lock:
        chosen = chosen.with_for_update(of=Nonconformance).execution_options(populate_existing=True)
    found = session.scalars(chosen).one_or_none()
    if found is None:
        raise NonconformanceNotFoundError
    return found


def whereabouts(found: Nonconformance) -> Whereabouts:
    """Return where the suspect pieces may be."""
    same = next((each for each in found.lot.operations if each.number == found.found_at.number), found.found_at)
    return Whereabouts([each for each in found.lot.operations if each.present], same, found.lot.in_stock)


def vendor_choices(session: orm.Session) -> list[tuple[int, str]]:
    """Return the vendors that pieces can go back to."""
    return [(row.id, row.name) for row in session.execute(sa.select(Vendor.id, Vendor.name).order_by(Vendor.name))]


def of_lot(session: orm.Session, lot_id: int) -> Sequence[Nonconformance]:
    """Return the nonconformances found in a lot, or whose pieces are in it."""
    found_in = sa.select(LotOperation.id).where(LotOperation.lot_id == lot_id)
    return session.scalars(
        sa.select(Nonconformance)
        .where(sa.or_(Nonconformance.lot_id == lot_id, Nonconformance.found_at_id.in_(found_in)))
        .order_by(Nonconformance.number.desc())
        .options(*_WITH_ALL)
    ).all()
