"""The lots and deliveries that a shipment speaks of, read at once for any number of rows."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotDelivery
from app.orders.models import CustomerOrder, Delivery, OrderLine
from app.parts.models import Revision
from app.shipping.errors import RowGoneError


@dataclass(frozen=True, slots=True)
class Cargo:
    """Deliveries with order, customer and part, and lots with part and shares, by their ids."""

    deliveries: dict[int, Delivery]
    lots: dict[int, Lot]

    def meant(self, lot_id: int, delivery_id: int) -> int:
        """Return how many pieces of a lot are meant for a delivery and have not left yet."""
        share = next((each for each in self.lots[lot_id].deliveries if each.delivery_id == delivery_id), None)
        return share.quantity - share.shipped if share else 0


def deliveries_loaded() -> sa.Select[Delivery]:
    """Choose deliveries together with their line, order, customer, revision and part."""
    return sa.select(Delivery).options(
        orm.joinedload(Delivery.line).options(
            orm.joinedload(OrderLine.order).joinedload(CustomerOrder.customer),
            orm.joinedload(OrderLine.revision).joinedload(Revision.part),
        )
    )


def lots_loaded() -> sa.Select[Lot]:
    """Choose lots together with their part and shares of deliveries; two statements."""
    return sa.select(Lot).options(
        orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.deliveries)
    )


def load_cargo(
    session: orm.Session, delivery_ids: Iterable[int], lot_ids: Iterable[int], *, lock: bool = False
) -> Cargo:
    """Read deliveries and lots in a fixed number of statements.

    Args:
        session: where to read.
        delivery_ids: which deliveries.
        lot_ids: which lots.
        lock: hold their rows until the end of the transaction, deliveries first, each kind in the order of its ids,
            so that two shipments never wait for each other.

    Raises:
        RowGoneError: one of them does not exist.
    """
    wanted_deliveries, wanted_lots = sorted(set(delivery_ids)), sorted(set(lot_ids))
    if lock:
        _lock(session, Delivery, wanted_deliveries)
        _lock(session, Lot, wanted_lots)
    deliveries = {
        each.id: each for each in session.scalars(deliveries_loaded().where(Delivery.id.in_(wanted_deliveries)))
    }
    lots = {each.id: each for each in session.scalars(lots_loaded().where(Lot.id.in_(wanted_lots)))}
    if len(deliveries) < len(wanted_deliveries) or len(lots) < len(wanted_lots):
        raise RowGoneError
    return Cargo(deliveries, lots)


def _lock(session: orm.Session, model: type[Delivery] | type[Lot], ids: list[int]) -> None:
    rows = sa.select(model).where(model.id.in_(ids)).order_by(model.id).with_for_update(of=model)
    session.scalars(rows.execution_options(populate_existing=True)).all()


def share_of(session: orm.Session, lot_id: int, delivery_id: int) -> LotDelivery | None:
    """Return how many pieces of a lot are meant for a delivery, where any are."""
    return session.scalars(
        sa.select(LotDelivery).where(LotDelivery.lot_id == lot_id, LotDelivery.delivery_id == delivery_id)
    ).one_or_none()
