"""Where pieces came from and went: lots, receipts, links from lot to lot, shipments."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, format_code
from app.lots.models import Entry, Lot, Place, Posting, Verb
from app.material.models import Issue, MaterialOrder, MaterialOrderLine, Receipt, Vendor
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.parts.models import Part, Revision
from app.people.models import Person
from app.shared.words import gettext
from app.shipping.models import Shipment, ShipmentLine
from app.trace.queries.asking import PART, Chosen, Question, lot_code, newest_first, part_words
from app.trace.queries.lines import Line
from app.trace.queries.subjects import Kind
from app.trace.queries.walking import of_shipments, stands


def lots(asked: Question, after: int | None, most: int | None) -> Chosen:
    """Choose the lots of a trace."""
    traced = asked.traced
    role = sa.case((Lot.id.in_(traced.own), "own"), (Lot.id.in_(traced.after), "after"), else_="before")
    chosen = (
        sa.select(Lot.id, Lot.number, Lot.started, Lot.released_at, Lot.closed_at, *PART, Part.name, role.label("role"))
        .join(Lot.revision)
        .join(Revision.part)
        .where(Lot.id.in_(traced.all))
    )
    return newest_first(chosen, Lot.id, after, most)


def lot_line(row: Any) -> Line:
    """Tell of a lot."""
    roles = {
        "own": gettext("asked about"),
        "before": gettext("went into it"),
        "after": gettext("came of it"),
    }
    return Line(
        row.id,
        row.released_at,
        roles[row.role],
        lot=lot_code(row.number),
        lot_id=row.id,
        part=f"{part_words(row)} {row.name}",
        pieces=row.started,
        result=gettext("finished") if row.closed_at else gettext("in work"),
    )


def receipts(asked: Question, after: int | None, most: int | None) -> Chosen:
    """Choose what of which receipts the lots and those before them hold, net of what was taken back."""
    made = orm.aliased(Part)
    key = sa.func.max(Issue.id)
    columns = (
        *(
            Receipt.id.label("receipt_id"),
            Receipt.number,
            Receipt.heat,
            Receipt.received_on,
            Vendor.name.label("vendor"),
        ),
        *(Lot.id.label("lot_id"), Lot.number.label("lot"), made.number.label("made"), Revision.label),
        Part.number.label("bought"),
    )
    chosen = (
        sa.select(key.label("key"), sa.func.sum(Issue.pieces).label("pieces"), *columns)
        .select_from(Issue)
        .join(Issue.receipt)
        .join(Lot, Issue.lot_id == Lot.id)
        .outerjoin(Revision, Receipt.revision_id == Revision.id)
        .outerjoin(made, Revision.part_id == made.id)
        .outerjoin(Part, Receipt.part_id == Part.id)
        .outerjoin(MaterialOrderLine, Receipt.line_id == MaterialOrderLine.id)
        .outerjoin(MaterialOrder, MaterialOrderLine.order_id == MaterialOrder.id)
        .outerjoin(Vendor, MaterialOrder.vendor_id == Vendor.id)
        .where(Issue.lot_id.in_(asked.traced.own | asked.traced.before))
        .group_by(*columns)
        .having(sa.func.sum(Issue.pieces) > 0)
    )
    return (chosen if after is None else chosen.having(key < after)).order_by(key.desc()).limit(most)


def receipt_line(row: Any) -> Line:
    """Tell what a lot holds of a receipt."""
    return Line(
        row.key,
        row.received_on,
        gettext("blanks") if row.made else gettext("component"),
        lot=lot_code(row.lot),
        lot_id=row.lot_id,
        part=f"{row.made} {row.label}" if row.made else row.bought,
        pieces=int(row.pieces),
        receipt=format_code(CodeKind.RECEIPT, row.number),
        receipt_id=row.receipt_id,
        heat=row.heat,
        vendor=row.vendor or "",
    )


def links(asked: Question, after: int | None, most: int | None) -> Chosen:
    """Choose where pieces went from lot to lot: splits, joins, components, and what came back."""
    giver, taker = orm.aliased(Lot), orm.aliased(Lot)
    came_back = sa.and_(Posting.verb == Verb.TAKE_BACK, Entry.from_place == Place.STARTED)
    ids = asked.traced.all
    chosen = (
        sa.select(
            *(Entry.id, Entry.quantity, Entry.reason, Posting.verb, Posting.happened_at, Person.name.label("person")),
            *(giver.id.label("giver_id"), giver.number.label("giver")),
            *(taker.id.label("taker_id"), taker.number.label("taker"), *PART),
        )
        .join(Entry.posting)
        .join(giver, giver.id == sa.case((came_back, Entry.other_lot_id), else_=Entry.lot_id))
        .join(taker, taker.id == sa.case((came_back, Entry.lot_id), else_=Entry.other_lot_id))
        .join(Revision, giver.revision_id == Revision.id)
        .join(Revision.part)
        .outerjoin(Person, Posting.person_id == Person.id)
        .where(
            Entry.lot_id.in_(ids),
            Entry.other_lot_id.in_(ids),
            sa.or_(Entry.to_place == Place.OTHER_LOT, came_back),
            Entry.quantity > 0,
            stands(),
        )
    )
    return newest_first(chosen, Entry.id, after, most)


def link_line(row: Any) -> Line:
    """Tell of pieces that went from one lot to another."""
    words = {
        Verb.SPLIT: gettext("split off"),
        Verb.JOIN: gettext("joined"),
        Verb.USE_COMPONENT: gettext("fitted as component"),
        Verb.TAKE_BACK: gettext("came back from the customer"),
    }
    return Line(
        row.id,
        row.happened_at,
        words.get(row.verb, gettext(row.verb.value)),
        lot=lot_code(row.giver),
        lot_id=row.giver_id,
        part=part_words(row),
        other_lot=lot_code(row.taker),
        other_lot_id=row.taker_id,
        pieces=row.quantity,
        person=row.person or "",
        note=row.reason,
    )


def shipments(asked: Question, after: int | None, most: int | None) -> Chosen:
    """Choose what left: of a shipment, day or delivery that itself, with what lots that came of it left with."""
    traced, kind = asked.traced, asked.subject.kind
    which: sa.ColumnElement[bool] = ShipmentLine.lot_id.in_(traced.own | traced.after)
    if kind in {Kind.SHIPMENT, Kind.DAY}:
        which = sa.or_(of_shipments(asked.subject), ShipmentLine.lot_id.in_(traced.after))
    elif kind is Kind.DELIVERY:
        which = sa.or_(ShipmentLine.delivery_id == asked.subject.key, ShipmentLine.lot_id.in_(traced.after))
    chosen = (
        sa.select(
            *(ShipmentLine.id, ShipmentLine.pieces, Shipment.id.label("shipment_id"), Shipment.number.label("slip")),
            *(Shipment.shipped_on, Shipment.carrier, Customer.name.label("customer"), CustomerOrder.their_number),
            *(OrderLine.number.label("line"), Delivery.due, Lot.id.label("lot_id"), Lot.number, *PART),
        )
        .join(ShipmentLine.shipment)
        .join(Shipment.customer)
        .join(ShipmentLine.delivery)
        .join(Delivery.line)
        .join(OrderLine.order)
        .join(ShipmentLine.lot)
        .join(Lot.revision)
        .join(Revision.part)
        .where(which, Shipment.taken_back_at.is_(None))
    )
    return newest_first(chosen, ShipmentLine.id, after, most)


def shipment_line(row: Any) -> Line:
    """Tell what left."""
    return Line(
        row.id,
        row.shipped_on,
        gettext("shipped"),
        lot=lot_code(row.number),
        lot_id=row.lot_id,
        part=part_words(row),
        pieces=row.pieces,
        shipment=str(row.slip),
        shipment_id=row.shipment_id,
        customer=row.customer,
        order=gettext("%(order)s line %(line)s", order=row.their_number, line=row.line),
        note=row.carrier,
    )
