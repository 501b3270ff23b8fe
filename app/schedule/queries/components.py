"""When the components that operations take can be expected: handed out to lots in rank order, as blanks are."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import orm

from app.core.shop import NotBefore
from app.lots import queries as lot_queries
from app.lots.models import Lot
from app.lots.queries import ComponentDemand, ComponentLot
from app.material import queries as material_queries
from app.parts import queries as part_queries
from app.parts.models import Component, Part
from app.schedule.queries.blanks import Delivery, Promised, Supply, lying_here, on_their_way
from app.schedule.queries.hours import ShopHours, second_of
from app.schedule.queries.outlooks import lot_outlooks


@dataclass(frozen=True, slots=True)
class MissingComponent:
    """A component that an operation waits for; with no ``time`` nobody knows until when.

    ``day`` is the day that its vendor named, ``lot`` the lot of ours that makes it.
    """

    part: str
    promised: Promised
    time: int | None = None
    guess: bool = False
    day: date | None = None
    lot: str = ""

    @property
    def not_before(self) -> NotBefore:
        """Return what the core plans with."""
        return NotBefore(self.time, self.part, self.guess)

    @property
    def lasts_longest(self) -> tuple[bool, int]:
        """Return what several that one operation waits for are ordered by: the last one ends the wait."""
        return self.time is None, self.time or 0


def missing_components(session: orm.Session, hours: ShopHours, lots: Sequence[Lot]) -> dict[int, MissingComponent]:
    """Return by operation which component keeps its pieces waiting longest; none where all is at hand.

    What lies at a station for work that is begun is gone first; the rest goes to ``lots`` in their order, which is that
    of ranks. At hand are receipts and finished pieces of our lots; then come purchases, and lots that are being made at
    the finish that the forecast before this one gave them. Nine statements.
    """
    demands = lot_queries.component_demands(session)
    if not demands:
        return {}
    parts = _Parts.read(session, hours, {demand.part.id for demand in demands})
    for demand in demands:
        parts.leave_at_station(demand)
    place = {lot.id: index for index, lot in enumerate(lots)}
    found: dict[int, MissingComponent] = {}
    for demand in sorted(demands, key=lambda each: (place[each.lot.id], each.operation.number)):
        _keep_longest(found, demand.operation.id, parts.give(demand.part, demand.waiting))
    return found


def missing_for_new(
    session: orm.Session, hours: ShopHours, components: Sequence[Component], pieces: int
) -> dict[int, MissingComponent]:
    """Return by operation number which component a new lot would wait for longest, once all open lots have theirs."""
    if not components:
        return {}
    part_ids = {component.part_id for component in components}
    demands = [demand for demand in lot_queries.component_demands(session) if demand.part.id in part_ids]
    parts = _Parts.read(session, hours, part_ids)
    for demand in demands:
        parts.leave_at_station(demand)
    for demand in demands:
        parts.give(demand.part, demand.waiting)
    found: dict[int, MissingComponent] = {}
    for component in components:
        missing = parts.give(component.part, pieces * component.per_piece)
        _keep_longest(found, component.operation_number, missing)
    return found


def _keep_longest(found: dict[int, MissingComponent], key: int, missing: MissingComponent | None) -> None:
    known = found.get(key)
    if missing and (known is None or known.lasts_longest < missing.lasts_longest):
        found[key] = missing


class _Parts:
    """What there is of each component and what will come."""

    def __init__(
        self,
        hours: ShopHours,
        deliveries: Mapping[int, list[Delivery]],
        unplanned: Mapping[int, str],
        lead_days: Mapping[int, int],
    ) -> None:
        self._now = hours.now
        self._supply = Supply(hours, deliveries)
        self._at_hand = {
            part_id: sum(each.pieces for each in found if each.promised is Promised.AT_HAND)
            for part_id, found in deliveries.items()
        }
        self._unplanned = unplanned
        self._lead_days = lead_days

    @classmethod
    def read(cls, session: orm.Session, hours: ShopHours, part_ids: Collection[int]) -> "_Parts":
        """Read it; five statements."""
        made = lot_queries.component_lots(session, part_ids)
        in_stock = material_queries.components_at_hand(session, part_ids)
        for each in made:
            in_stock[each.part_id] += each.in_stock
        deliveries = lying_here(hours, in_stock)
        lines = material_queries.open_lines_about(session, part_ids=part_ids)
        for line, delivery in on_their_way(session, hours, lines):
            deliveries[line.part_id or 0].append(delivery)
        unplanned = _add_lots(session, made, deliveries)
        bought = part_queries.bought_parts(session, part_ids)
        leads = {part.id: revision.blank_lead_days if revision else 0 for part, revision in bought}
        return cls(hours, deliveries, unplanned, leads)

    def leave_at_station(self, demand: ComponentDemand) -> None:
        """Take what lies at hand for pieces in work."""
        pieces = min(demand.begun, self._at_hand[demand.part.id])
        self._at_hand[demand.part.id] -= pieces
        self._supply.take(demand.part.id, pieces, 0)

    def give(self, part: Part, pieces: int) -> MissingComponent | None:
        """Give an operation so many of what its pieces take; say what it has to wait for, if anything."""
        lead_days = self._lead_days.get(part.id)  # none for a part that is made here
        taken = self._supply.take(part.id, pieces, lead_days or 0)
        number = part.number
        if sum(each.pieces for each in taken) < pieces:
            lot = self._unplanned.get(part.id, "")
            if lot:
                return MissingComponent(number, Promised.NO_FINISH, lot=lot)
            return MissingComponent(number, Promised.NOT_RELEASED if lead_days is None else Promised.NOT_ORDERED)
        last = max(taken, key=lambda each: each.time, default=None)
        if last is None or last.time <= self._now:
            return None
        return MissingComponent(number, last.promised, last.time, any(each.guess for each in taken), last.day, last.lot)


def _add_lots(
    session: orm.Session, made: Iterable[ComponentLot], deliveries: Mapping[int, list[Delivery]]
) -> dict[int, str]:
    """Add what lots are making to the deliveries; return by part the first lot of which nobody knows the finish."""
    coming = [each for each in made if each.coming]
    outlooks = lot_outlooks(session, [each.lot.id for each in coming])
    unplanned: dict[int, str] = {}
    for each in coming:
        outlook = outlooks.get(each.lot.id)
        name = lot_queries.lot_name(each.lot)
        if outlook is None or outlook.finish_at is None:
            unplanned.setdefault(each.part_id, name)
            continue
        time, unsure = second_of(outlook.finish_at), outlook.is_guess
        deliveries[each.part_id].append(Delivery(time, each.coming, Promised.MADE, lot=name, unsure=unsure))
    return unplanned
