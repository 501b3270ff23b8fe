"""The same shop with something different: other hours, other people, one lot or operation treated otherwise."""

from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import date, timedelta
from typing import Any, Final

from app.core.calendar_hours import Downtime, OpenHours, wall_clock_second, zone_info
from app.core.calendars import NoOpenHoursError, WorkCalendar
from app.core.shop import Arrival, Crew, Lot, Operation, Purchase, Shop
from app.core.worktime import Span

FRONT: Final = -1
"""A pin before all that people give."""
DAY_S: Final = 86_400
SATURDAY: Final = 5


class _Hours:
    """Calendars with changed hours; those that were shared stay shared."""

    def __init__(self, change: Callable[[OpenHours], OpenHours]) -> None:
        self._change = change
        self._made: dict[OpenHours, WorkCalendar] = {}

    def of(self, calendar: WorkCalendar) -> WorkCalendar:
        """Return a calendar as it is after the change."""
        hours = self._change(calendar.hours)
        if hours not in self._made:
            self._made[hours] = WorkCalendar(hours)
        return self._made[hours]


def with_hours(shop: Shop, change: Callable[[OpenHours], OpenHours], stations: Collection[str]) -> Shop:
    """Return the shop with other hours at some stations."""
    hours = _Hours(change)
    changed = tuple(
        replace(each, calendar=hours.of(each.calendar)) if each.key in stations else each for each in shop.stations
    )
    return replace(shop, stations=changed)


def with_downtime(shop: Shop, station: str, until: int) -> Shop:
    """Return the shop with a station down from now ``until`` a second after it."""
    down = Downtime(shop.now, until)
    return with_hours(shop, lambda hours: replace(hours, downtimes=(*hours.downtimes, down)), {station})


def with_overtime(shop: Shop, station: str, span: Span) -> Shop:
    """Return the shop with a station open for longer, and one person there who does everything."""
    more = with_hours(shop, lambda hours: replace(hours, overtime=(*hours.overtime, span)), {station})
    if shop.people is None:
        return more
    alone = WorkCalendar(OpenHours(shop.receiving.hours.zone, overtime=(span,)))
    return replace(more, people=(*shop.people, Crew(alone, 1, 1)))


def with_day_closed(shop: Shop, day: date) -> Shop:
    """Return the shop with one more closed day, for stations, people and receiving."""

    def close(hours: OpenHours) -> OpenHours:
        return replace(hours, closed_days=hours.closed_days | {day})

    hours = _Hours(close)
    people = shop.people and tuple(replace(crew, calendar=hours.of(crew.calendar)) for crew in shop.people)
    closed = with_hours(shop, close, {station.key for station in shop.stations})
    return replace(closed, people=people, receiving=hours.of(shop.receiving))


def with_people(shop: Shop, setters: int, tenders: int, crew_name: str = "") -> Shop:
    """Return the shop with so many more of each in the crew of that name, or in every crew that has a name.

    None falls below zero.
    """
    if shop.people is None:
        return shop
    crews = tuple(
        replace(crew, setters=max(0, crew.setters + setters), tenders=max(0, crew.tenders + tenders))
        if (crew.name == crew_name if crew_name else crew.name)
        else crew
        for crew in shop.people
    )
    return replace(shop, people=crews)


def with_person_moved(shop: Shop, crew: str, setters: int, source: str = "") -> Shop:
    """Return the shop with one person moved in the shift of that name.

    Args:
        shop: as it is.
        crew: the name of the shift.
        setters: 1 when there is one more who sets up, -1 when there is one more who tends.
        source: the shift that this person comes from; empty: from the other work of the same shift.
    """
    more = (1, 0) if setters > 0 else (0, 1)
    other = (0, 1) if setters > 0 else (1, 0)

    def moved(each: Crew) -> Crew:
        plus = more if each.name == crew else (0, 0)
        minus = (0, 0)
        if source and each.name == source:
            minus = more
        elif not source and each.name == crew:
            minus = other
        counts = (each.setters + plus[0] - minus[0], each.tenders + plus[1] - minus[1])
        return replace(each, setters=max(0, counts[0]), tenders=max(0, counts[1]))

    return replace(shop, people=shop.people and tuple(moved(each) for each in shop.people))


def with_lot(shop: Shop, key: str, change: Callable[[Lot], Lot]) -> Shop:
    """Return the shop with one lot changed."""
    return replace(shop, lots=tuple(change(lot) if lot.key == key else lot for lot in shop.lots))


def with_operation(shop: Shop, lot: str, operation: str, **changes: Any) -> Shop:
    """Return the shop with fields of one operation changed."""

    def change(found: Lot) -> Lot:
        steps = (replace(each, **changes) if each.key == operation else each for each in found.operations)
        return replace(found, operations=tuple(steps))

    return with_lot(shop, lot, change)


def at_the_front(shop: Shop, lot: str) -> Shop:
    """Return the shop with one lot before all others."""
    return with_lot(shop, lot, lambda found: replace(found, pinned=FRONT))


def with_blanks_sooner(shop: Shop, lot: str, days: int) -> Shop:
    """Return the shop with the blanks of a lot sooner; what comes with them for other lots comes sooner too."""
    orders = {each.order for each in blanks_of(shop, lot) if each.order}

    def of(found: Lot) -> Lot:
        moved = tuple(_sooner(shop, each, orders, found.key == lot, days) for each in found.operations)
        return found if moved == found.operations else replace(found, operations=moved)

    return replace(shop, lots=tuple(of(each) for each in shop.lots))


def blanks_of(shop: Shop, lot: str) -> list[Arrival]:
    """Return what a lot's blanks come in."""
    operations = next(each.operations for each in shop.lots if each.key == lot)
    return [each for found in operations if isinstance(found.taking, Purchase) for each in found.taking.arrivals]


def sooner(shop: Shop, time: int, days: int) -> int:
    """Return when what is expected at ``time`` could come so many days sooner; the same where it could not.

    That is at the same hour of a day from tomorrow on, Monday to Friday and not closed: carriers deliver then (common
    practice, no source).
    """
    hours = shop.receiving.hours
    expected, tomorrow = hours.local(time), hours.local(shop.now).date() + timedelta(days=1)
    day = max(tomorrow, expected.date() - timedelta(days=days))
    while day.weekday() >= SATURDAY or day in hours.closed_days:
        day += timedelta(days=1)
    try:
        return min(time, shop.receiving.next_open(wall_clock_second(day, expected.time(), zone_info(hours.zone))))
    except NoOpenHoursError:
        return time


def _sooner(shop: Shop, operation: Operation, orders: Collection[str], own: bool, days: int) -> Operation:
    """Return an operation with the arrivals of some orders sooner, for the lot itself also those not ordered yet."""
    if not isinstance(operation.taking, Purchase):
        return operation
    arrivals = tuple(
        replace(each, time=sooner(shop, each.time, days)) if each.order in orders or (own and not each.order) else each
        for each in operation.taking.arrivals
    )
    return replace(operation, taking=Purchase(arrivals))
