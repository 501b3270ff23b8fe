"""The present of the invented shop: what makes this morning different from a quiet one."""

from collections.abc import Callable
from datetime import timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.services import sign_on_with_pin
from app.lots.models import Job, JobState, Lot, LotOperation
from app.lots.services import (
    Count,
    begin,
    hold_lot,
    hold_pieces,
    pause,
    record_earlier,
    recount,
    rework_pieces,
    split_lot,
)
from app.material.services import NewReceipt, receive
from app.orders.services import NewDelivery, NewLine
from app.parts.models import OperationKind
from app.stations.models import Station
from seed_demo import changed, hands, shop
from seed_demo.business import Office, in_office_hours, working_day
from seed_demo.floor import Floor
from seed_demo.measuring import DRIFTS
from seed_demo.world import World, local, moment

HOUR, DAY = 3600, 86_400
DOWN = "Hydraulic press"
TOO_LONG = "NJ-2010"
AT_THE_PRESS = "SW-0470"
IN_THE_BOWL = ("SW-0452", "LL-4015")
"""Two parts with the same recipe."""
SIGNED_ON = {"Mill 1, two pallets": "DL", "Lathe 1, bar feeder": "MP", "Inspection bench": "IC", "Deburr bench": "MP"}


class Present:
    """What happens in the last two days."""

    def __init__(self, world: World, office: Office, floor: Floor) -> None:
        self.world = world
        self.office = office
        self.floor = floor

    def plan(self) -> None:
        """Put the last days' events into the simulation."""
        world = self.world
        world.at(world.end - 27 * HOUR, self.press_goes_down)
        world.at(in_office_hours(world.end - 30 * HOUR, HOUR), self.order_that_drifts)
        world.at(world.end - 26 * HOUR, self.order_that_is_too_long)
        world.at(world.end - 25 * HOUR, self.order_behind_the_press)
        world.at(world.end - 25 * HOUR, self.hold_a_lot)
        world.at(world.end - 20 * HOUR, self.rework_some)
        world.at(world.end - 20 * HOUR, lambda: hands.notes_of_the_last_shift(world))
        world.at(world.end - 19 * HOUR, self.hold_some_pieces)
        world.at(world.end - 18 * HOUR, self.split_one)
        world.at(world.end - 3 * HOUR, self.lots_without_blanks)

    def finish(self) -> None:
        """Do what stands at the very end: a batch under way, something recorded late, people at their stations."""
        self.world.now = self.world.arranged_from
        self.batch_under_way()
        changed.let_the_mills_wait(self.world)
        lots = [self.order_with_blanks(number, 40, days=12, rush=False) for number in changed.ON_ONE_PALLET]
        changed.share_a_pallet(self.world, lots)
        self.world.now = self.world.end - 900
        self.record_one_late()
        self.count_again()
        changed.change_one(self.world)
        self.sign_people_on()
        hands.one_runs_all_the_mills(self.world)
        hands.plan_services(self.world)
        hands.send_one_on(self.world)
        hands.see_the_hand_over(self.world)

    def press_goes_down(self) -> None:
        """Take the press down, with a guess of when it is back."""
        world = self.world
        station = next(each for each in world.stations if each.name == DOWN)
        station.down_from = world.now
        back = local(world.end).replace(hour=11, minute=0, second=0, microsecond=0) + timedelta(days=2)
        hands.press_breaks_down(world, station.id, back)

    def order_that_is_too_long(self) -> None:
        """Take a rush order whose work is simply longer than the time left; its blocks happen to be at hand."""
        self.order_with_blanks(TOO_LONG, 30, days=6, rush=True)

    def order_that_drifts(self) -> None:
        """Take an order for the part whose tool wears; the next lathe that is free runs it, most likely still now."""
        self.order_with_blanks(DRIFTS, 300, days=10, rush=True)

    def order_behind_the_press(self) -> None:
        """Take an order that stands at the press, which is down; what the night shift did is recorded late."""
        lot = self.order_with_blanks(AT_THE_PRESS, 48, days=2, rush=False)
        pressing = next(each for each in lot.operations if each.kind.name == "Pressing")
        record_earlier(self.world.session, self.world.act("MP"), pressing.id, lot.started)
        self.floor.arrived(pressing)

    def order_with_blanks(self, number: str, quantity: int, *, days: int, rush: bool) -> Lot:
        """Take an order whose blanks happen to be at hand, and release its lot."""
        world, part = self.world, self.world.parts[number]
        today = local(world.now).date()
        heat = f"A{world.rng.randrange(10_000, 99_999)}"
        new = NewReceipt(quantity + 12, today, revision_id=world.revision_ids[number], heat=heat)
        receive(world.session, new, world.people["TO"], moment(world.now))
        delivery = NewDelivery(quantity, working_day(today + timedelta(days=days)))
        line = NewLine(number, (delivery,), price=part.selling_price, rush=rush)
        order = self.office.add_order(part, line, today)
        return self.office.release(part, [order.lines[0].deliveries[0].id], buy=False)

    def hold_a_lot(self) -> None:
        """Put a lot that is well under way on hold."""
        for lot in self._open_lots(lambda lot: any(each.waiting > 20 for each in lot.operations[2:]) and not lot.rush):
            if not any(each.in_work for each in lot.operations):
                reason = "customer checks the hole pattern; answer expected this week"
                hold_lot(self.world.session, self.world.act("WH"), lot.id, reason)
                return

    def rework_some(self) -> None:
        """Send a few pieces back from the inspection bench."""
        for operation in (*self._waiting_at("Inspection"), *self._waiting_anywhere()):
            earlier = [each for each in operation.lot.operations if each.number < operation.number]
            station_ones = [each for each in earlier if each.work_center_id]
            if station_ones and operation.waiting > 12:
                target = station_ones[-1]
                act = self.world.act("IC", self._station("Inspection bench").id)
                rework_pieces(self.world.session, act, operation.id, 6, target.id, "edge break too small on one side")
                self.floor.arrived(target)
                return

    def hold_some_pieces(self) -> None:
        """Hold a few doubtful pieces."""
        for operation in (*self._waiting_at("Inspection"), *self._waiting_anywhere()):
            if operation.waiting > 10:
                act = self.world.act("IC", self._station("Inspection bench").id)
                hold_pieces(self.world.session, act, operation.id, 4, "bore reads differently on two gauges")
                return

    def split_one(self) -> None:
        """Split a large lot that waits, so that its first delivery can go ahead."""
        lots = self._open_lots(lambda lot: bool(lot.deliveries))
        for lot in sorted(lots, key=lambda lot: -len(lot.deliveries)):
            for operation in lot.operations[1:]:
                if operation.waiting > 60:
                    later = max(lot.deliveries, key=lambda share: share.delivery.due)
                    act = self.world.act("TO")
                    child = split_lot(
                        self.world.session, act, operation.id, min(later.quantity, operation.waiting // 2)
                    )
                    self.floor.arrived(next(each for each in child.operations if each.waiting))
                    return

    def lots_without_blanks(self) -> None:
        """Release two lots whose blanks nobody has ordered yet."""
        world = self.world
        today = local(world.now).date()
        for number in ("LL-4002", "SW-0430"):
            part = world.parts[number]
            line = NewLine(
                number, (NewDelivery(60, working_day(today + timedelta(days=40))),), price=part.selling_price
            )
            order = self.office.add_order(part, line, today)
            self.office.release(part, [order.lines[0].deliveries[0].id], buy=False)

    def batch_under_way(self) -> None:
        """Have two small lots in the tumbler together; a batch that runs there makes room for them."""
        session, bowl = self.world.session, self._station("Vibratory bowl")
        for job in session.scalars(sa.select(Job).where(Job.station_id == bowl.id)).all():
            if job.state is not JobState.PAUSED:
                pause(session, self.world.act("DL", bowl.id), job.operation_id)
        together = []
        for number in IN_THE_BOWL:
            lot = self.order_with_blanks(number, 40, days=12, rush=False)
            operation = next(each for each in lot.operations if each.kind.name == "Tumbling")
            record_earlier(session, self.world.act("DL"), operation.id, lot.started)
            together.append(operation.id)
        begin(session, self.world.act("DL", bowl.id), together)

    def record_one_late(self) -> None:
        """Let one operation be signed off only when the next station missed its pieces."""
        for operation in (*self._waiting_at("Deburring", "Drilling"), *self._waiting_anywhere()):
            following = next((each for each in operation.lot.operations if each.number > operation.number), None)
            if following is not None and operation.waiting > 10 and not operation.measured:
                act = self.world.act("MP", self._station("Deburr bench").id)
                record_earlier(self.world.session, act, following.id, operation.waiting)
                return

    def count_again(self) -> None:
        """Have two pieces of a lot that somebody waits for be missing on its cart."""
        for operation in self._waiting_anywhere():
            if operation.lot.deliveries and not operation.in_work:
                there = operation.present
                count = Count(operation.id, there - 2, there, "two are not on the cart; nobody knows where they went")
                recount(self.world.session, self.world.act("IC"), operation.lot_id, count)
                return

    def sign_people_on(self) -> None:
        """Have people signed on at some stations."""
        pins = {data.initials: data.pin for data in shop.PEOPLE}
        for name, initials in SIGNED_ON.items():
            badge = self.world.people[initials].badge_number
            assert badge is not None  # noqa: S101 - everybody in the demo has one
            station_id = self._station(name).id
            sign_on_with_pin(self.world.session, station_id, badge, pins[initials], moment(self.world.now))

    def _station(self, name: str) -> Station:
        return self.world.session.scalars(sa.select(Station).where(Station.name == name)).one()

    def _open_lots(self, wanted: Callable[[Lot], bool]) -> list[Lot]:
        lots = self.world.session.scalars(
            sa.select(Lot)
            .where(Lot.closed_at.is_(None), Lot.hold_reason == "")
            .order_by(Lot.number)
            .options(orm.selectinload(Lot.operations).joinedload(LotOperation.kind))
        )
        return [lot for lot in lots if wanted(lot)]

    def _waiting_anywhere(self) -> list[LotOperation]:
        """Return operations of stations at which pieces wait that came off another station."""
        lots = self._open_lots(lambda lot: any(each.waiting for each in lot.operations[2:]))
        found = [each for lot in lots for each in lot.operations[2:] if each.waiting and each.work_center_id]
        return sorted(found, key=lambda operation: (-operation.waiting, operation.id))

    def _waiting_at(self, *kinds: str) -> list[LotOperation]:
        return list(
            self.world.session.scalars(
                sa.select(LotOperation)
                .join(LotOperation.lot)
                .join(OperationKind, LotOperation.kind_id == OperationKind.id)
                .where(OperationKind.name.in_(kinds), LotOperation.waiting > 0, Lot.hold_reason == "")
                .order_by(LotOperation.waiting.desc(), LotOperation.id)
            )
        )
