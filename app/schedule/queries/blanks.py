"""When blanks and components can be expected: what is at hand and on order, handed out to lots in rank order."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from sqlalchemy import orm

from app.core.shop import Arrival
from app.material import queries as material_queries
from app.material.models import MaterialOrderLine
from app.schedule.queries.hours import ShopHours

ONE_DAY = timedelta(days=1)


class Promised(StrEnum):
    """How sure it is that blanks or components come."""

    AT_HAND = "at hand"
    EXPECTED = "expected"
    OVERDUE = "overdue"
    NOT_ORDERED = "not ordered"
    MADE = "made here"
    NOT_RELEASED = "not released"
    """Made here, and no lot of it is released."""
    NO_FINISH = "no finish"
    """Made here in a lot of which nobody knows when it will be done."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """Blanks or components that can be used from ``time`` on.

    Attributes:
        time: from when on.
        pieces: how many.
        promised: how sure that is.
        day: the day their vendor named, where one did.
        lot: the lot of ours that makes them, by its code.
        unsure: the finish of that lot rests on a guess.
        line_id: the line of the purchase that they come from.
        vendor: who delivers that line.
    """

    time: int
    pieces: int
    promised: Promised
    day: date | None = None
    lot: str = ""
    unsure: bool = False
    line_id: int | None = None
    vendor: str = ""

    @property
    def guess(self) -> bool:
        """Say whether nobody has confirmed the time."""
        return self.unsure or self.promised in {Promised.OVERDUE, Promised.NOT_ORDERED}

    @property
    def arrival(self) -> Arrival:
        """Return what the core plans with."""
        return Arrival(self.time, self.pieces, self.guess, str(self.line_id or ""))

    def part(self, pieces: int) -> "Delivery":
        """Return so many pieces of it."""
        return replace(self, pieces=pieces)


class Supply:
    """The blanks of each revision, or the pieces of each component, that can come and that no lot has been given yet.

    What is at hand goes first, then what comes soonest. Which lot a purchase was made for does not count: whoever is
    first in rank gets what comes first, as at the saw.
    """

    def __init__(self, hours: ShopHours, deliveries: Mapping[int, Iterable[Delivery]]) -> None:
        self._hours = hours
        self._left = {key: sorted(found, key=lambda one: one.time) for key, found in deliveries.items()}

    def take(self, key: int, pieces: int, lead_days: int) -> tuple[Delivery, ...]:
        """Give ``pieces`` to a lot; for those nobody has ordered the lead time counts from today.

        Without a lead time nothing is known of these: they are left out.
        """
        taken: list[Delivery] = []
        left = self._left.setdefault(key, [])
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


def read_supply(session: orm.Session, hours: ShopHours, revision_ids: Collection[int]) -> Supply:
    """Read what is at hand and on order of some revisions' blanks; four statements."""
    deliveries = lying_here(hours, material_queries.blanks_at_hand(session, revision_ids))
    lines = material_queries.open_lines_about(session, revision_ids=revision_ids)
    for line, delivery in on_their_way(session, hours, lines):
        deliveries[line.revision_id or 0].append(delivery)
    return Supply(hours, deliveries)


def lying_here(hours: ShopHours, at_hand: Mapping[int, int]) -> dict[int, list[Delivery]]:
    """Return what is at hand as deliveries that are here now."""
    return {key: [Delivery(hours.now, pieces, Promised.AT_HAND)] if pieces else [] for key, pieces in at_hand.items()}


def on_their_way(
    session: orm.Session, hours: ShopHours, lines: Iterable[MaterialOrderLine]
) -> Iterator[tuple[MaterialOrderLine, Delivery]]:
    """Yield when the rest of each line can be expected; one statement."""
    open_lines = [line for line in lines if line.still_expected]
    late_vendors = {line.order.vendor_id for line in open_lines if line.expected_on < hours.today}
    delays = material_queries.usual_delays(session, late_vendors)
    for line in open_lines:
        delay = delays[line.order.vendor_id].days if line.order.vendor_id in delays else 0
        yield line, _expected(hours, line, delay)


def _expected(hours: ShopHours, line: MaterialOrderLine, usual_delay: int) -> Delivery:
    """Return when the rest of a line can be expected.

    What has not come by the noon of its day is guessed for the next working day; once its day is over, the vendor's
    usual delay comes on top.
    """
    time, promised = hours.arrival(line.expected_on), Promised.EXPECTED
    if time <= hours.now:
        delay = usual_delay if line.expected_on < hours.today else 0
        guessed = hours.working_day(hours.working_day(hours.today + ONE_DAY) + timedelta(days=delay))
        time, promised = hours.arrival(guessed), Promised.OVERDUE
    return Delivery(
        time,
        line.still_expected,
        promised,
        line.expected_on,
        line_id=line.id,
        vendor=line.order.vendor.name,
    )
