"""What is checked before goods leave; the lots and deliveries are locked by then."""

from collections import Counter
from collections.abc import Iterator
from datetime import date

from app.lots.errors import LotOnHoldError, TooManyPiecesError
from app.lots.models import Lot
from app.lots.queries import lot_name
from app.orders.models import Delivery
from app.parts.models import Revision
from app.shared.errors import PlainError, Problem
from app.shared.words import gettext
from app.shipping.errors import (
    ChosenTwiceError,
    DeliveryNotOpenError,
    NothingToShipError,
    OtherCustomerError,
    OtherRevisionError,
    OverError,
    ShippedBeforeOrderedError,
    ShippedInFutureError,
)
from app.shipping.queries import Cargo
from app.shipping.services.inputs import NewShipment, NewShipmentLine


def shipment_problems(new: NewShipment, cargo: Cargo, today: date) -> Iterator[Problem]:
    """Give everything that is wrong with a shipment, each with the form's field that it is about."""
    leaving = [line for line in new.lines if line.pieces]
    if not leaving:
        yield Problem("lines", NothingToShipError())
    yield from _date_problems(new, cargo, today)
    yield from _row_problems(new, cargo)
    yield from _over_problems(new, cargo)


def _date_problems(new: NewShipment, cargo: Cargo, today: date) -> Iterator[Problem]:
    if new.shipped_on > today:
        yield Problem("shipped_on", ShippedInFutureError(today))
    for delivery in cargo.deliveries.values():
        order = delivery.line.order
        if new.shipped_on < order.received_on:
            yield Problem("shipped_on", ShippedBeforeOrderedError(order.their_number, order.received_on))
            return


def _row_problems(new: NewShipment, cargo: Cargo) -> Iterator[Problem]:
    taken: Counter[int] = Counter()
    seen: set[tuple[int, int]] = set()
    for at, line in enumerate(new.lines):
        if not line.pieces:
            continue
        lot, delivery = cargo.lots[line.lot_id], cargo.deliveries[line.delivery_id]
        taken[lot.id] += line.pieces
        error = _cannot_serve(new, lot, delivery) or _cannot_leave(lot, line, taken[lot.id])
        if (lot.id, delivery.id) in seen:
            error = ChosenTwiceError()
        seen.add((lot.id, delivery.id))
        if error is not None:
            yield Problem(f"lines-{at}-pieces", error)


def _cannot_serve(new: NewShipment, lot: Lot, delivery: Delivery) -> PlainError | None:
    order = delivery.line.order
    if order.customer_id != new.customer_id:
        return OtherCustomerError(order.their_number, order.customer.name)
    if delivery.closed_at is not None:
        return DeliveryNotOpenError(order.their_number)
    if lot.revision_id != delivery.line.revision_id:
        return OtherRevisionError(lot_name(lot), _named(lot.revision), _named(delivery.line.revision))
    return None


def _cannot_leave(lot: Lot, line: NewShipmentLine, taken: int) -> PlainError | None:
    if lot.on_hold:
        return LotOnHoldError(lot_name(lot), lot.hold_reason)
    if line.pieces < 0 or taken > lot.in_stock:
        return TooManyPiecesError(taken, lot.in_stock, gettext("stock of %(lot)s", lot=lot_name(lot)))
    return None


def _over_problems(new: NewShipment, cargo: Cargo) -> Iterator[Problem]:
    leaving: Counter[int] = Counter()
    for line in new.lines:
        leaving[line.delivery_id] += line.pieces
    for delivery_id, delivery in cargo.deliveries.items():
        over = delivery.shipped + leaving[delivery_id] - delivery.quantity
        if over > 0 and delivery.closed_at is None and not new.over_agreed:
            yield Problem("over_agreed", OverError(delivery.line.order.their_number, over, delivery.quantity))


def _named(revision: Revision) -> str:
    return f"{revision.part.number} {revision.label}"
