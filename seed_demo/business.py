"""The office of the simulated shop: orders come in, lots are released, blanks are bought and received, goods leave."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import partial
from zoneinfo import ZoneInfo

import sqlalchemy as sa

from app.lots.models import Lot
from app.lots.queries import free_stock, propose_start
from app.lots.services import NewLot, Share, blanks_wanted, mean_for, release_lot, start_fewer
from app.lots.services.blanks import issue_at_hand
from app.material.models import MaterialOrderLine
from app.material.services import NewReceipt, receive
from app.orders.models import CustomerOrder, Delivery
from app.orders.services import NewDelivery, NewLine, NewOrder, Talk, add_order, close_delivery
from app.parts.queries import routing_of
from app.purchasing.queries import Key, needs_of
from app.purchasing.services import NewPurchase, PurchaseLine, issue_receipt, order_material
from app.purchasing.services import Share as BlankShare
from app.shipping.services import NewShipment, NewShipmentLine, ship
from seed_demo.catalog import STUDS, PartData
from seed_demo.floor import Floor
from seed_demo.shop import SHIPPING_CUTOFF, TIME_ZONE, VENDORS
from seed_demo.world import World, local, moment

HOUR, DAY = 3600, 86_400
BUSY_DAYS = 45
STILL_OPEN = 3 * DAY
"""Seconds before the present from which on a delivery that came short is still to be settled."""
CARRIERS = ("our van", "Gannet Freight", "customer collects")


class Office:
    """What the owners do all day."""

    def __init__(self, world: World, floor: Floor) -> None:
        self.world = world
        self.floor = floor
        self.order_numbers = {name: world.rng.randrange(1200, 9000) for name in world.customer_ids}

    def take_orders(self, per_day: float, lately: float) -> None:
        """Let orders arrive at random until the present, between 8 and 16; in the last weeks more of them."""
        world = self.world
        when = world.now
        while True:
            rate = lately if when > world.end - BUSY_DAYS * DAY else per_day
            when += int(world.rng.expovariate(rate) * DAY)
            if when > world.end:
                return
            world.at(in_office_hours(when, world.rng.randrange(8 * HOUR)), self.take_order)

    def repeat_orders(self, parts: Mapping[str, Sequence[int]]) -> None:
        """Let customers order some parts so many days ago for sure, whatever else comes in."""
        for number, days_ago in parts.items():
            for days in days_ago:
                when = in_office_hours(self.world.end - days * DAY, 2 * HOUR)
                self.world.at(when, partial(self.take_order, number))

    def take_order(self, number: str = "") -> None:
        """Take an order for one part, any where none is named, in one or two deliveries; release its lot soon."""
        world = self.world
        named = [world.parts[number]] if number else []
        part = world.rng.choice(named or [each for each in world.parts.values() if each.number != STUDS])
        today = local(world.now).date()
        due = working_day(today + timedelta(days=part.lead_days + world.rng.randrange(12, 33)))
        quantity = round_to_five(min(world.rng.randint(*part.lots), part.largest_lot))
        deliveries = [NewDelivery(quantity, due)]
        if quantity >= 300 and world.chance(0.4):
            first = round_to_five(quantity // 2)
            later = working_day(due + timedelta(days=14))
            deliveries = [NewDelivery(first, due), NewDelivery(quantity - first, later)]
        line = NewLine(part.number, tuple(deliveries), price=part.selling_price, rush=world.chance(0.03))
        order = self.add_order(part, line, today)
        ids = [delivery.id for delivery in order.lines[0].deliveries]
        tomorrow = in_office_hours(world.now + DAY, world.rng.randrange(0, 7 * HOUR))
        world.at(tomorrow, lambda: self.release(part, ids))

    def add_order(self, part: PartData, line: NewLine, today: date) -> CustomerOrder:
        """Record an order under the customer's next number."""
        world = self.world
        self.order_numbers[part.customer] += world.rng.randrange(1, 9)
        initials = "".join(word[0] for word in part.customer.split() if word.isalnum())[:2]
        number = f"{initials}-{self.order_numbers[part.customer]}"
        return add_order(
            world.session, NewOrder(part.customer, number, today, (line,)), world.people["WH"], moment(world.now)
        )

    def release(self, part: PartData, delivery_ids: list[int], *, buy: bool = True) -> Lot:
        """Release a lot for some deliveries and buy what blanks it lacks."""
        world = self.world
        deliveries = [world.session.get_one(Delivery, key) for key in delivery_ids]
        shares = tuple(Share(each.id, each.quantity) for each in deliveries)
        return self.release_lot(part, sum(share.quantity for share in shares), shares, buy=buy)

    def release_lot(self, part: PartData, needed: int, shares: tuple[Share, ...] = (), *, buy: bool = True) -> Lot:
        """Release a lot, for deliveries or for stock."""
        world = self.world
        revision_id = world.revision_ids[part.number]
        routing = routing_of(world.session, revision_id)
        assert routing is not None  # noqa: S101 - every demo part has one
        proposal = propose_start(world.session, routing, needed)
        enough = proposal.at_hand >= proposal.to_start
        new = NewLot(revision_id, needed, proposal.to_start, proposal.reason, shares, issue_blanks=enough)
        lot = release_lot(world.session, world.act("TO"), new)
        self.floor.arrived(lot.operations[1])
        if buy:
            world.at(world.now + world.rng.randrange(HOUR, 6 * HOUR), lambda: self.buy(part, lot.id))
        return lot

    def buy(self, part: PartData, lot_id: int) -> None:
        """Order the blanks a lot still wants; they come in early, late or in two parts, as the vendor goes."""
        world = self.world
        lot = world.session.get_one(Lot, lot_id)
        needs = needs_of(world.session, Key(lot.revision_id))
        wanted = next((need.to_order for need in needs if need.lot.id == lot_id), 0)
        if not wanted:
            return
        vendor = VENDORS[part.vendor]
        spare = wanted + (world.rng.randrange(0, 12) if part.per_unit == 1 else 0)
        line = PurchaseLine(Key(lot.revision_id), (BlankShare(lot_id, wanted),), units=-(-spare // part.per_unit))
        number = f"{vendor.name[:2].upper()}{world.rng.randrange(10_000, 99_999)}"
        today = local(world.now).date()
        order = order_material(world.session, world.act("WH"), NewPurchase(vendor.name, today, (line,), number))
        bought = order.lines[0]
        slip = max(-2.0, world.rng.gauss(vendor.late_days, vendor.spread))
        arrives = in_office_hours(start_of(working_day(bought.expected_on + timedelta(days=round(slip)))), 3 * HOUR)
        if bought.units > 1 and bought.pieces > 100 and world.chance(0.15):
            first = bought.units // 2 * bought.pieces_per_unit
            world.at(arrives, lambda: self.receive(bought.id, first))
            world.at(arrives + 4 * DAY, lambda: self.receive(bought.id, bought.pieces - first))
        else:
            world.at(arrives, lambda: self.receive(bought.id, bought.pieces))

    def receive(self, line_id: int, pieces: int) -> None:
        """Book blanks in and issue them to the lots they were bought for."""
        world = self.world
        line = world.session.get_one(MaterialOrderLine, line_id)
        rejected = world.rng.randrange(1, 4) if world.chance(0.05) and pieces > 30 else 0
        new = NewReceipt(
            pieces=pieces - rejected,
            received_on=local(world.now).date(),
            line_id=line_id,
            heat=f"{world.rng.choice('ABDKMT')}{world.rng.randrange(10_000, 99_999)}",
            rejected=rejected,
            reject_reason="flaws, sent back" if rejected else "",
        )
        receipt = receive(world.session, new, world.people["TO"], moment(world.now))
        if rejected:
            again = in_office_hours(world.now + world.rng.randrange(5, 11) * DAY, 2 * HOUR)
            world.at(again, lambda: self.receive(line_id, rejected))
        shares = []
        left, all_served = receipt.pieces, True
        for lot in self._waiting_lots(line):
            wanted = blanks_wanted(world.session, lot)
            taken = min(left, wanted)
            all_served = all_served and taken == wanted
            if taken:
                shares.append(BlankShare(lot.id, taken))
                left -= taken
        if shares:
            issue_receipt(world.session, world.act("TO"), receipt.id, shares)
            for share in shares:
                self.floor.arrived(world.session.get_one(Lot, share.lot_id).operations[1])
        assert line.revision is not None  # noqa: S101 - the demo buys blanks only
        if not all_served:
            self._settle(world.parts[line.revision.part.number])

    def _settle(self, part: PartData) -> None:
        """See that no lot of a part waits for blanks that nobody will bring: issue, start fewer, or buy again."""
        world = self.world
        for need in needs_of(world.session, Key(world.revision_ids[part.number])):
            lot = need.lot
            if need.at_hand:
                issue_at_hand(world.session, world.act("TO"), lot)
                self.floor.arrived(lot.operations[1])
            elif 0 < need.to_order <= lot.started // 15:
                start_fewer(world.session, world.act("TO"), lot.id, need.to_order)
            elif need.to_order and need.to_order < blanks_wanted(world.session, lot):
                self.buy(part, lot.id)

    def _waiting_lots(self, line: MaterialOrderLine) -> list[Lot]:
        return list(
            self.world.session.scalars(
                sa.select(Lot)
                .where(Lot.revision_id == line.revision_id, Lot.closed_at.is_(None), Lot.hold_reason == "")
                .order_by(Lot.due_on, Lot.number)
            )
        )

    def finished(self, lot: Lot) -> None:
        """Ship what a finished lot owes at the next cut-off, not long before it is due."""
        for share in lot.deliveries:
            earliest = start_of(share.delivery.leave_day - timedelta(days=6))
            when = next_cutoff(max(self.world.now, earliest))
            self.world.at(when, partial(self.ship, lot.id, share.delivery_id))

    def ship(self, lot_id: int, delivery_id: int) -> None:
        """Ship the pieces of a lot that a delivery still lacks; stock takes what is over and gives what is missing."""
        world = self.world
        lot, delivery = world.session.get_one(Lot, lot_id), world.session.get_one(Delivery, delivery_id)
        missing = delivery.quantity - delivery.shipped
        pieces = min(lot.in_stock, missing)
        if pieces <= 0 or lot.on_hold or delivery.closed_at:
            return
        lines = [NewShipmentLine(lot.id, delivery.id, pieces)]
        if lot.closed_at and world.now < world.end - STILL_OPEN:
            lines.extend(self._from_stock(lot, delivery, missing - pieces))
        customer_id = delivery.line.order.customer_id
        new = NewShipment(customer_id, local(world.now).date(), tuple(lines), world.rng.choice(CARRIERS))
        ship(world.session, world.act("WH"), new)
        if lot.closed_at and delivery.closed_at is None and world.now < world.end - STILL_OPEN:
            by = world.people["WH"]
            close_delivery(world.session, delivery.id, Talk(world.act("WH").key, moment(world.now), by, "their buyer"))

    def _from_stock(self, lot: Lot, delivery: Delivery, missing: int) -> Iterator[NewShipmentLine]:
        """Take what a lot lacks from what earlier lots had over."""
        free = free_stock(self.world.session, [lot.revision_id]).get(lot.revision_id, [])
        for each in free:
            taken = min(missing, each.pieces)
            if each.lot.id != lot.id and taken:
                missing -= taken
                mean_for(self.world.session, self.world.act("WH"), each.lot.id, delivery.id, taken)
                yield NewShipmentLine(each.lot.id, delivery.id, taken)

    def studs_in_stock(self) -> list[Lot]:
        """Return the finished lots of press studs that still have some, oldest first."""
        revision_id = self.world.revision_ids[STUDS]
        chosen = sa.select(Lot).where(Lot.revision_id == revision_id, Lot.in_stock > 0).order_by(Lot.number)
        return list(self.world.session.scalars(chosen))

    def stock_studs(self, every_days: int) -> None:
        """Release a lot of press studs for stock now and then; other parts take them as components."""
        world = self.world
        when = world.now + DAY
        while when < world.end:
            world.at(in_office_hours(when, HOUR), lambda: self.release_lot(world.parts[STUDS], 4500))
            when += every_days * DAY


def round_to_five(quantity: int) -> int:
    """Return the nearest multiple of five, at least five."""
    return max(5, round(quantity / 5) * 5)


def working_day(day: date) -> date:
    """Return ``day``, or the Monday after it."""
    return day + timedelta(days=max(0, 7 - day.weekday()) % 7 if day.weekday() > 4 else 0)


def start_of(day: date) -> int:
    """Return midnight of a day in the shop."""
    return int(datetime.combine(day, datetime.min.time(), ZoneInfo(TIME_ZONE)).timestamp())


def in_office_hours(second: int, after: int) -> int:
    """Return a moment on that day, or the next working one, ``after`` seconds past eight."""
    return start_of(working_day(local(second).date())) + 8 * HOUR + after


def next_cutoff(second: int) -> int:
    """Return a quarter of an hour before the next shipping cut-off at or after ``second`` on a working day."""
    day = working_day(local(second).date())
    cutoff = int(datetime.combine(day, SHIPPING_CUTOFF, ZoneInfo(TIME_ZONE)).timestamp()) - 900
    return cutoff if cutoff >= second else next_cutoff(start_of(day + timedelta(days=1)))
