"""What customers of the invented shop change their minds about: a date, a cancellation, call-offs, goods sent back."""

from datetime import timedelta

import sqlalchemy as sa

from app.lots.models import Lot, LotDelivery
from app.lots.services import Inspection
from app.orders.models import Delivery, OrderLine
from app.orders.services import (
    LineTerms,
    NewDelivery,
    NewLine,
    Talk,
    Terms,
    cancel_delivery,
    change_delivery,
    change_line,
)
from app.shipping.models import Outcome, Shipment, ShipmentLine
from app.shipping.services import NewDecision, NewReturn, add_return, decide_return
from seed_demo.business import Office, in_office_hours, working_day
from seed_demo.floor import Floor
from seed_demo.world import World, local, moment

HOUR, DAY = 3600, 86_400
CALLED_OFF = "LL-4002"
STANDING = 400
CALL_OFFS = ((60, 30), (60, 58), (60, 86))
"""Pieces, and days until they are due."""
SENT_BACK = 4


class SecondThoughts:
    """Customers who change their minds in the last days."""

    def __init__(self, world: World, office: Office, floor: Floor) -> None:
        self.world = world
        self.office = office
        self.floor = floor

    def plan(self) -> None:
        """Put them into the simulation."""
        world = self.world
        world.at(world.end - 9 * DAY, self.order_that_is_called_off)
        world.at(world.end - 5 * DAY, self.a_later_date)
        world.at(min(in_office_hours(world.end - 54 * HOUR, 3 * HOUR), world.end - 4 * HOUR), self.a_cancellation)
        world.at(world.end - 2 * HOUR, self.goods_sent_back)

    def order_that_is_called_off(self) -> None:
        """Take a standing order, call off its first deliveries, and release the first."""
        world, part = self.world, self.world.parts[CALLED_OFF]
        today = local(world.now).date()
        deliveries = tuple(NewDelivery(pieces, working_day(today + timedelta(days=days))) for pieces, days in CALL_OFFS)
        order = self.office.add_order(part, NewLine(part.number, deliveries, price=part.selling_price), today)
        line = order.lines[0]
        terms = LineTerms(line.price, rush=False, standing_quantity=STANDING)
        change_line(world.session, line.id, terms, world.people["WH"], moment(world.now))
        self.office.release(part, [line.deliveries[0].id])

    def a_later_date(self) -> None:
        """Agree on a later date for the open delivery that is due first and has room for it."""
        delivery = self._open_delivery(Delivery.due > local(self.world.now).date() + timedelta(days=6))
        if delivery is not None:
            terms = Terms(delivery.quantity, working_day(delivery.due + timedelta(days=10)))
            note = "their assembly starts later"
            change_delivery(self.world.session, delivery.id, terms, self._talk("purchasing, by phone", note))

    def a_cancellation(self) -> None:
        """Cancel a delivery whose lot is under way; what becomes of its pieces is still to be decided."""
        delivery = self._open_delivery(Delivery.due > local(self.world.now).date() + timedelta(days=9))
        if delivery is not None:
            talk = self._talk("purchasing, by letter", "their customer stopped the project")
            cancel_delivery(self.world.session, delivery.id, talk)

    def _open_delivery(self, which: sa.ColumnElement[bool]) -> Delivery | None:
        """Return the first open delivery that one lot under way serves alone and that nobody spoke of again."""
        alone = (
            sa.select(LotDelivery.delivery_id)
            .join(LotDelivery.lot)
            .group_by(LotDelivery.delivery_id)
            .having(sa.func.count() == 1, sa.func.count(Lot.closed_at) == 0)
        )
        return self.world.session.scalars(
            sa.select(Delivery)
            .join(Delivery.line)
            .where(
                *(which, Delivery.closed_at.is_(None), Delivery.shipped == 0, Delivery.due == Delivery.first_due),
                *(Delivery.id.in_(alone), OrderLine.standing_quantity.is_(None), sa.not_(OrderLine.rush)),
            )
            .order_by(Delivery.due, Delivery.id)
            .limit(1)
        ).first()

    def _talk(self, agreed_with: str, note: str) -> Talk:
        world = self.world
        return Talk(world.act("WH").key, moment(world.now), world.people["WH"], agreed_with, note)

    def goods_sent_back(self) -> None:
        """Take back a few pieces of a shipment of last week; some are sent again, about one nobody has decided."""
        world, line = self.world, self._left_lately()
        if line is None:
            return
        bench = next((each for each in line.lot.operations if each.kind.name == "Inspection"), None)
        if bench is None or bench.work_center_id is None:
            return
        new = NewReturn(
            shipment_line_id=line.id,
            pieces=SENT_BACK,
            came_on=local(world.now).date(),
            reason="burr left in the cross hole",
            their_reference="complaint 118",
            inspection=Inspection(bench.kind_id, bench.work_center_id, 120),
            operation_ids=tuple(each.id for each in line.lot.operations if each.kind.name == "Deburring"),
        )
        returned = add_return(world.session, world.act("WH"), new)
        due = working_day(new.came_on + timedelta(days=9))
        who = world.people["WH"].id
        again = NewDecision(returned.id, Outcome.SHIP_AGAIN, SENT_BACK - 1, due, who, "rework, then send again")
        decide_return(world.session, world.act("WH"), again)
        self.floor.arrived(returned.lot.operations[0])

    def _left_lately(self) -> ShipmentLine | None:
        """Return a line of a shipment of the last three weeks of a part whose lots are inspected here."""
        since = local(self.world.now).date() - timedelta(days=21)
        lines = self.world.session.scalars(
            sa.select(ShipmentLine)
            .join(ShipmentLine.shipment)
            .where(Shipment.shipped_on >= since, ShipmentLine.pieces > 20, Shipment.taken_back_at.is_(None))
            .order_by(Shipment.number, ShipmentLine.id)
        )
        return next((each for each in lines if any(op.kind.name == "Deburring" for op in each.lot.operations)), None)
