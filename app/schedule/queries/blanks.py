"""When the blanks of each lot can be expected: what is at hand and on order, handed out to lots in rank order."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from sqlalchemy import orm

from app.core.shop import Arrival
from app.material import queries as material_queries
from app.material.models import MaterialOrderLine
from app.schedule.queries.hours import ShopHours

ONE_DAY = timedelta(days=1)


class Promised(StrEnum):
    """How sure it is that blanks come."""

    AT_HAND = "at hand"
    EXPECTED = "expected"
    OVERDUE = "overdue"
    NOT_ORDERED = "not ordered"


@dataclass(frozen=True, slots=True)
class Delivery:
    """Blanks that can be used from ``time`` on; ``day`` is the day their vendor named, where one did."""

    time: int
    pieces: int
    promised: Promised
    day: date | None = None

    @property
    def arrival(self) -> Arrival:
        """Return what the core plans with."""
        guess = self.promised in {Promised.OVERDUE, Promised.NOT_ORDERED}
        return Arrival(self.time, self.pieces, guess)

    def part(self, pieces: int) -> "Delivery":
        """Return so many pieces of it."""
        return Delivery(self.time, pieces, self.promised, self.day)


class BlankSupply:
    """The blanks of each revision that are at hand or on order and that no lot has been given yet.

    What is at hand goes first, then what comes soonest. Which lot a purchase was made for does not count: whoever is
    first in rank gets what comes first, as at the saw.
    """

    def __init__(self, hours: ShopHours, deliveries: Mapping[int, Iterable[Delivery]]) -> None:
        self._hours = hours
        self._left = {key: sorted(found, key=lambda one: one.time) for key, found in deliveries.items()}

    def take(self, revision_id: int, pieces: int, lead_days: int) -> tuple[Delivery, ...]:
        """Give ``pieces`` to a lot; for those nobody has ordered the lead time counts from today.

        Without a lead time nothing is known of these: they are left out.
        """
        taken: list[Delivery] = []
        left = self._left.setdefault(revision_id, [])
        while pieces and left:
            first = left.pop(0)
            share = min(pieces, first.pieces)
            taken.append(first.part(share))
            pieces -= share
            if share < first.pieces:
                left.insert(0, first.part(first.pieces - share))
        if pieces and lead_days:
            day = self._hours.working_day(self._hours.today + timedelta(days=lead_days))
            taken.append(Delivery(self._hours.arrival(day), pieces, Promised.NOT_ORDERED))
        return tuple(taken)


def read_supply(session: orm.Session, hours: ShopHours, revision_ids: Collection[int]) -> BlankSupply:
    """Read what is at hand and on order of some revisions' blanks; four statements."""
    lines = [
        line
        for line in material_queries.open_lines(session)
        if line.revision_id in revision_ids and line.still_expected
    ]
    late_vendors = {line.order.vendor_id for line in lines if line.expected_on < hours.today}
    delays = material_queries.usual_delays(session, late_vendors)
    deliveries: dict[int, list[Delivery]] = {
        revision_id: [Delivery(hours.now, pieces, Promised.AT_HAND)] if pieces else []
        for revision_id, pieces in material_queries.blanks_at_hand(session, revision_ids).items()
    }
    for line in lines:
        delay = delays[line.order.vendor_id].days if line.order.vendor_id in delays else 0
        deliveries[line.revision_id or 0].append(_expected(hours, line, delay))
    return BlankSupply(hours, deliveries)


def _expected(hours: ShopHours, line: MaterialOrderLine, usual_delay: int) -> Delivery:
    """Return when the rest of a line can be expected.

    What has not come by the noon of its day is guessed for the next working day; once its day is over, the vendor's
    usual delay comes on top.
    """
    day = hours.arrival(line.expected_on)
    if day > hours.now:
        return Delivery(day, line.still_expected, Promised.EXPECTED, line.expected_on)
    delay = usual_delay if line.expected_on < hours.today else 0
    guessed = hours.working_day(hours.working_day(hours.today + ONE_DAY) + timedelta(days=delay))
    return Delivery(hours.arrival(guessed), line.still_expected, Promised.OVERDUE, line.expected_on)
