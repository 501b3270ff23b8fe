"""Where the pieces of deliveries come from: lots made for them, stock that is free, and what is missing."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from operator import attrgetter

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotDelivery, LotOperation
from app.orders.errors import OrderNotFoundError
from app.orders.models import CustomerOrder, Delivery, OrderLine
from app.parts.models import Revision
from app.shared.database import the_one


@dataclass(frozen=True, slots=True)
class Serving:
    """A lot that serves a delivery.

    Attributes:
        lot: with its operations.
        share: how many of its pieces are meant for the delivery, and have left.
        gives: how many of them it can still give, counting what has left.
    """

    lot: Lot
    share: LotDelivery
    gives: int

    @property
    def missing(self) -> int:
        """Return how many of the pieces that are meant for the delivery the lot can no longer give."""
        return self.share.quantity - self.gives


@dataclass(frozen=True, slots=True)
class FreeStock:
    """Finished pieces of a lot that nothing is meant for."""

    lot: Lot
    pieces: int


@dataclass(slots=True)
class Cover:
    """What a delivery gets, and from where."""

    delivery: Delivery
    serving: list[Serving] = field(default_factory=list)
    free: list[FreeStock] = field(default_factory=list)

    @property
    def pieces(self) -> int:
        """Return how many pieces lots give it, counting what has left."""
        return sum(each.gives for each in self.serving)

    @property
    def surplus(self) -> int:
        """Return how many pieces lots have for it beyond what it asks for."""
        wanted = self.delivery.shipped if self.delivery.closed_at else self.delivery.quantity
        return max(0, sum(each.share.quantity for each in self.serving) - wanted)

    @property
    def missing(self) -> int:
        """Return how many pieces nothing gives it; none once it is closed."""
        return 0 if self.delivery.closed_at else max(0, self.delivery.quantity - self.pieces)

    @property
    def comes_short(self) -> bool:
        """Say whether a lot was made for it, and there are too few pieces all the same."""
        return bool(self.serving) and self.missing > 0

    @property
    def free_pieces(self) -> int:
        """Return how many finished pieces of its part and revision are free."""
        return sum(each.pieces for each in self.free)


def good_pieces() -> sa.ColumnElement[int]:
    """Return, as a column of Lot, the pieces that are in work, in stock or shipped: all it can still give or gave."""
    at_operations = LotOperation.waiting + LotOperation.in_work + LotOperation.counted + LotOperation.held
    present = sa.select(sa.func.coalesce(sa.func.sum(at_operations), 0)).where(LotOperation.lot_id == Lot.id)
    return present.correlate(Lot).scalar_subquery() + Lot.in_stock + Lot.shipped


def good_pieces_of(lot: Lot) -> int:
    """Return the pieces of a lot that are in work, in stock or shipped."""
    return sum(operation.present for operation in lot.operations) + lot.in_stock + lot.shipped


def deliveries_with_orders() -> sa.Select[Delivery]:
    """Choose deliveries with line, order, customer, revision and part."""
    return sa.select(Delivery).options(
        orm.joinedload(Delivery.line).options(
            orm.joinedload(OrderLine.order).joinedload(CustomerOrder.customer),
            orm.joinedload(OrderLine.revision).joinedload(Revision.part),
        )
    )


def covers(session: orm.Session, deliveries: Sequence[Delivery]) -> list[Cover]:
    """Say what each delivery gets, in their order. The number of statements does not grow with them."""
    found = {delivery.id: Cover(delivery) for delivery in deliveries}
    for lot in _serving_lots(session, found):
        for share, gives in given(lot):
            if share.delivery_id in found:
                found[share.delivery_id].serving.append(Serving(lot, share, gives))
    still_open = [each for each in found.values() if each.delivery.closed_at is None]
    free = free_stock(session, {each.delivery.line.revision_id for each in still_open})
    for each in still_open:
        each.free = free.get(each.delivery.line.revision_id, [])
    return list(found.values())


def _lots_with_shares() -> sa.Select[Lot]:
    return sa.select(Lot).options(
        orm.selectinload(Lot.operations),
        orm.selectinload(Lot.deliveries).joinedload(LotDelivery.delivery).joinedload(Delivery.line),
    )


def _serving_lots(session: orm.Session, delivery_ids: Iterable[int]) -> Sequence[Lot]:
    serving = sa.select(LotDelivery.lot_id).where(LotDelivery.delivery_id.in_(list(delivery_ids)))
    return session.scalars(_lots_with_shares().where(Lot.id.in_(serving)).order_by(Lot.number)).all()


def given(lot: Lot) -> list[tuple[LotDelivery, int]]:
    """Share a lot's good pieces out over its deliveries, soonest first: the later ones come short.

    What has left counts for the delivery it left for; a closed delivery takes no more.
    """
    left = sum(operation.present for operation in lot.operations) + lot.in_stock
    found = []
    for share in sorted(lot.deliveries, key=lambda each: (each.delivery.due, each.delivery_id)):
        more = min(share.quantity - share.shipped, left) if share.open else 0
        left -= more
        found.append((share, share.shipped + more))
    return found


def free_stock(session: orm.Session, revision_ids: Iterable[int]) -> dict[int, list[FreeStock]]:
    """Return the finished pieces of revisions that no open delivery is meant to get, oldest lot first.

    Lots on hold are left out.
    """
    chosen = (
        _lots_with_shares()
        .where(Lot.in_stock > 0, Lot.hold_reason == "", Lot.revision_id.in_(list(revision_ids)))
        .order_by(Lot.number)
    )
    found: dict[int, list[FreeStock]] = defaultdict(list)
    for lot in session.scalars(chosen):
        free = min(lot.in_stock, unmeant(lot))
        if free > 0:
            found[lot.revision_id].append(FreeStock(lot, free))
    return found


def unmeant(lot: Lot) -> int:
    """Return how many pieces of a lot, finished or not, are meant for no open delivery; below 0: it falls short."""
    meant = sum(share.quantity - share.shipped for share in lot.deliveries if share.open)
    return good_pieces_of(lot) - lot.shipped - meant


def covered_pieces(session: orm.Session, deliveries: Sequence[Delivery]) -> dict[int, int]:
    """Return how many pieces of each delivery lots have given or can still give."""
    return {each.delivery.id: each.pieces for each in covers(session, deliveries)}


def covers_of_order(session: orm.Session, order_id: int) -> list[Cover]:
    """Say what each delivery of an order gets, in the order of its lines and dates."""
    chosen = (
        deliveries_with_orders()
        .join(Delivery.line)
        .where(OrderLine.order_id == order_id)
        .order_by(OrderLine.number, Delivery.due, Delivery.id)
    )
    return covers(session, session.scalars(chosen).all())


def cover_of_delivery(session: orm.Session, delivery_id: int) -> Cover:
    """Say what one delivery gets, from which lots.

    Raises:
        OrderNotFoundError: there is no such delivery.
    """
    chosen = deliveries_with_orders().where(Delivery.id == delivery_id)
    return covers(session, [the_one(session, chosen, OrderNotFoundError)])[0]


@dataclass(frozen=True, slots=True)
class Short:
    """A delivery that lots were made for and that gets too few pieces all the same."""

    delivery: Delivery
    missing: int


def coming_short(session: orm.Session) -> list[Short]:
    """Return the open deliveries that lots of theirs can no longer fill, soonest first. Two statements."""
    given_by_lots: Counter[int] = Counter()
    for _lot_id, rows in groupby(_shares_of_open_deliveries(session), key=attrgetter("lot_id")):
        shares = list(rows)
        for share in shares:
            given_by_lots[share.delivery_id] += share.shipped
        left = shares[0].good - shares[0].lot_shipped
        for share in shares:
            more = max(0, min(share.quantity - share.shipped, left)) if share.of_the_revision else 0
            left -= more
            given_by_lots[share.delivery_id] += more
    chosen = deliveries_with_orders().where(Delivery.id.in_(list(given_by_lots))).order_by(Delivery.due, Delivery.id)
    found = (Short(each, each.quantity - given_by_lots[each.id]) for each in session.scalars(chosen))
    return [each for each in found if each.missing > 0]


def _shares_of_open_deliveries(session: orm.Session) -> Sequence[sa.Row[int, int, int, int, int, int, bool]]:
    return session.execute(
        sa.select(
            LotDelivery.lot_id,
            LotDelivery.delivery_id,
            LotDelivery.quantity,
            LotDelivery.shipped,
            Lot.shipped.label("lot_shipped"),
            good_pieces().label("good"),
            (Lot.revision_id == OrderLine.revision_id).label("of_the_revision"),
        )
        .join(LotDelivery.lot)
        .join(LotDelivery.delivery)
        .join(Delivery.line)
        .where(Delivery.closed_at.is_(None))
        .order_by(LotDelivery.lot_id, Delivery.due, Delivery.id)
    ).all()
