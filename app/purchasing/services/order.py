"""Ordering material: one purchase of blanks and bought components for several lots."""

import difflib
from collections.abc import Iterator
from dataclasses import asdict, dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import KeyReusedError
from app.lots.models import Lot
from app.lots.queries import lot_name
from app.lots.services import Act
from app.lots.services.acts import content_hash
from app.material.errors import InactiveVendorError
from app.material.models import MaterialOrder, Vendor
from app.material.queries import active_vendors, vendor_named
from app.material.services import (
    NewMaterialLine,
    NewMaterialOrder,
    NewVendor,
    add_material_order,
    add_vendor,
    default_expected,
)
from app.people.models import Person
from app.purchasing.errors import NotTheirBlankError, NotWantedError, TooFewUnitsError, UnknownVendorError
from app.purchasing.models import Purpose
from app.purchasing.queries import Article, Need, articles, lead_days, wanted_articles
from app.purchasing.services.inputs import NewPurchase, PurchaseLine, Share
from app.shared.database import transaction
from app.shared.errors import Problem, RefusedError, refuse
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class _Row:
    """A line with its place on the form, its article, and what lots wait for of it."""

    at: int
    line: PurchaseLine
    article: Article
    needs: dict[int, Need]

    @property
    def lead_days(self) -> int:
        """Return the longest lead time that a lot reckons with, else the article's own."""
        return lead_days(
            self.article, [self.needs[each.lot_id] for each in self.line.shares if each.lot_id in self.needs]
        )

    @property
    def units(self) -> int:
        """Return how many units are ordered: as asked, or as many as the lots need."""
        return self.line.units if self.line.units is not None else self.needed_units

    @property
    def needed_units(self) -> int:
        """Return how many units hold the pieces that are meant for lots."""
        return -(-self.line.meant // self.article.pieces_per_unit)


def order_material(session: orm.Session, act: Act, new: NewPurchase) -> MaterialOrder:
    """Record a purchase and which lots it is for; the same form sent twice orders once.

    Raises:
        KeyReusedError: the form was recorded before with other content.
        RefusedError: something is wrong; its problems say what and where. A vendor nobody knows, more pieces for a
            lot than it waits for, and fewer units than the lots' pieces take are refused.
    """
    with transaction(session):
        kept = _recorded_before(session, act, new)
        if kept is not None:
            return kept
        lots = _lock_lots(session, [share.lot_id for line in new.lines for share in line.shares])
        rows = _rows(session, new)
        refuse([*_vendor_problems(session, new), *_row_problems(rows, lots)])
        order = _placed(session, act, new, rows)
        order.client_key, order.content_hash = act.key, _fingerprint(new)
        for made, row in zip(order.lines, rows, strict=True):
            session.add_all(
                Purpose(line=made, lot_id=share.lot_id, pieces=share.pieces)
                for share in row.line.shares
                if share.pieces
            )
    return order


def _fingerprint(new: NewPurchase) -> str:
    return content_hash("order material", asdict(new))


def _recorded_before(session: orm.Session, act: Act, new: NewPurchase) -> MaterialOrder | None:
    kept = session.scalars(sa.select(MaterialOrder).where(MaterialOrder.client_key == act.key)).one_or_none()
    if kept is not None and kept.content_hash != _fingerprint(new):
        raise KeyReusedError(gettext("an order from %(vendor)s", vendor=kept.vendor.name))
    return kept


def _lock_lots(session: orm.Session, lot_ids: list[int]) -> dict[int, Lot]:
    """Hold the lots, so that what they wait for stays true until the purchase is kept."""
    chosen = sa.select(Lot).where(Lot.id.in_(lot_ids)).order_by(Lot.id).with_for_update(of=Lot)
    return {lot.id: lot for lot in session.scalars(chosen)}


def _rows(session: orm.Session, new: NewPurchase) -> list[_Row]:
    known = articles(session, [line.key for line in new.lines])
    wanted = {each.article.key: {need.lot.id: need for need in each.needs} for each in wanted_articles(session, known)}
    return [
        _Row(at, line, known[line.key], wanted.get(line.key, {}))
        for at, line in enumerate(new.lines)
        if line.key in known and (line.units or line.meant)
    ]


def _vendor_problems(session: orm.Session, new: NewPurchase) -> Iterator[Problem]:
    vendor = vendor_named(session, new.vendor)
    if vendor is None and not new.new_vendor:
        names = [each.name for each in active_vendors(session)]
        similar = difflib.get_close_matches(new.vendor, names, n=3, cutoff=0.6)
        yield Problem("vendor", UnknownVendorError(new.vendor, similar))
    elif vendor is not None and not vendor.active:
        yield Problem("vendor", InactiveVendorError(vendor.name))


def _row_problems(rows: list[_Row], lots: dict[int, Lot]) -> Iterator[Problem]:
    for row in rows:
        if row.units < row.needed_units:
            made = row.units * row.article.pieces_per_unit
            yield Problem(f"lines-{row.at}-units", TooFewUnitsError(made, row.line.meant, row.needed_units))
        for number, share in enumerate(row.line.shares):
            error = _share_error(row, share, lots) if share.pieces else None
            if error is not None:
                yield Problem(f"lines-{row.at}-shares-{number}-pieces", error)


def _share_error(row: _Row, share: Share, lots: dict[int, Lot]) -> NotTheirBlankError | NotWantedError | None:
    lot = lots.get(share.lot_id)
    if lot is None or lot.revision_id != (row.article.key.revision_id or lot.revision_id):
        return NotTheirBlankError(lot_name(lot) if lot else str(share.lot_id))
    need = row.needs.get(lot.id)
    if need is None:
        return NotWantedError(lot_name(lot), 0)
    if share.pieces > need.to_order:
        return NotWantedError(lot_name(lot), need.wanted, need.wanted - need.to_order)
    return None


def _placed(session: orm.Session, act: Act, new: NewPurchase, rows: list[_Row]) -> MaterialOrder:
    vendor = vendor_named(session, new.vendor) or add_vendor(session, NewVendor(new.vendor))
    by = session.get(Person, act.person_id) if act.person_id else None
    try:
        return add_material_order(session, _purchase(session, new, vendor, rows), by, act.recorded_at)
    except RefusedError as refused:
        raise RefusedError(_placed_back(problem, rows) for problem in refused.problems) from refused


def _purchase(session: orm.Session, new: NewPurchase, vendor: Vendor, rows: list[_Row]) -> NewMaterialOrder:
    return NewMaterialOrder(
        vendor_id=vendor.id,
        ordered_on=new.ordered_on,
        their_number=new.their_number,
        lines=tuple(
            NewMaterialLine(
                units=row.units,
                revision_id=row.article.key.revision_id,
                part_id=row.article.key.part_id,
                unit_price=row.line.unit_price,
                expected_on=row.line.expected_on or default_expected(session, row.lead_days, new.ordered_on),
            )
            for row in rows
        ),
    )


def _placed_back(problem: Problem, rows: list[_Row]) -> Problem:
    """Return a problem of the purchase at the place of the form's row that it is about."""
    name, _, rest = problem.place.partition("-")
    if name != "lines" or not rest:
        return problem
    number, _, field = rest.partition("-")
    return Problem(f"lines-{rows[int(number)].at}-{field}", problem.error)
