"""What could be tried for a lot that is late: one thing to do each."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from itertools import permutations
from typing import Final

from app.core.planning import variations
from app.core.planning.results import Cause, LotForecast
from app.core.shop import LeadTime, Lot, Operation, Purchase, Shop, Station
from app.core.worktime import Span, without

OVERTIME_S: Final = 4 * 3600
EXTRA_DAY_S: Final = 8 * 3600
DAYS_AHEAD: Final = 8
STATIONS: Final = 2
"""Overtime is tried at so many stations: those that the lot waits for longest."""
SOONER_DAYS: Final = 3
LEAST_PIECES: Final = 4
"""Fewer are not worth splitting or sending ahead."""


class Help(StrEnum):
    """What can be done."""

    OVERTIME = "overtime"
    ELSEWHERE = "another station"
    SPLIT = "split"
    AHEAD = "send ahead"
    FRONT = "front"
    PERSON = "person moved"
    BLANKS = "blanks sooner"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do.

    Attributes:
        help: what.
        lot: key of the lot that it is for; empty for overtime and people.
        operation: key of the operation that is done elsewhere, split or sent ahead.
        station: where there is overtime, or where the operation goes.
        start, end: of the overtime.
        pieces: of a transfer that is sent ahead.
        crew: the name of the shift that has one person more of some kind.
        source: the shift this person comes from; empty: from the other work of the same shift.
        setters: 1 when it is one more who sets up, -1 when it is one more who tends.
        days: by which blanks come sooner.
    """

    help: Help
    lot: str = ""
    operation: str = ""
    station: str = ""
    start: int = 0
    end: int = 0
    pieces: int = 0
    crew: str = ""
    source: str = ""
    setters: int = 0
    days: int = 0


def applied(shop: Shop, step: Step) -> Shop:
    """Return the shop with a step done."""
    match step.help:
        case Help.OVERTIME:
            changed = variations.with_overtime(shop, step.station, Span(step.start, step.end))
        case Help.ELSEWHERE:
            changed = variations.with_operation(shop, step.lot, step.operation, stations=(step.station,))
        case Help.SPLIT:
            changed = variations.with_operation(shop, step.lot, step.operation, split=2)
        case Help.AHEAD:
            changed = variations.with_operation(shop, step.lot, step.operation, send_ahead=step.pieces)
        case Help.FRONT:
            changed = variations.at_the_front(shop, step.lot)
        case Help.PERSON:
            changed = variations.with_person_moved(shop, step.crew, step.setters, step.source)
        case Help.BLANKS:
            changed = variations.with_blanks_sooner(shop, step.lot, step.days)
    return changed


def steps(shop: Shop, planned: LotForecast, lot: Lot) -> Iterator[Step]:
    """Yield what could be tried for a lot."""
    yield Step(Help.FRONT, lot.key)
    stations = {station.key: station for station in shop.stations}
    for key in _waited_for(planned):
        yield from (
            Step(Help.OVERTIME, station=key, start=start, end=end) for start, end in _spare(shop, stations[key])
        )
    for index, operation in enumerate(lot.operations):
        if planned.operations[index].runs and not operation.open_jobs:
            yield from _otherwise(shop, lot, index, planned.operations[index].stations)
    yield from _people(shop)
    if any(reason.cause is Cause.BLANKS for reason in planned.chain):
        yield Step(Help.BLANKS, lot.key, days=SOONER_DAYS)


def _people(shop: Shop) -> Iterator[Step]:
    """Yield the ways to move one person: to the other work of a shift, or to the same work of another shift."""
    named = [crew for crew in shop.people or () if crew.name]
    for crew in named:
        if crew.tenders:
            yield Step(Help.PERSON, crew=crew.name, setters=1)
        if crew.setters:
            yield Step(Help.PERSON, crew=crew.name, setters=-1)
    for source, crew in permutations(named, 2):
        if source.setters:
            yield Step(Help.PERSON, crew=crew.name, source=source.name, setters=1)
        if source.tenders:
            yield Step(Help.PERSON, crew=crew.name, source=source.name, setters=-1)


def _waited_for(planned: LotForecast) -> list[str]:
    """Return the stations that a lot waits for longest, or else works at longest."""
    waits, works = Counter[str](), Counter[str]()
    for reason in planned.chain:
        if reason.station is not None and reason.cause in {Cause.BUSY, Cause.CLOSED, Cause.MUST_FIT}:
            waits[reason.station] += reason.seconds
        elif reason.station is not None:
            works[reason.station] += reason.seconds
    return [key for key, _ in (waits or works).most_common(STATIONS)]


def _spare(shop: Shop, station: Station) -> Iterator[Span]:
    """Yield overtime that a station could have: after its next two working days, and on its next day off.

    None of which it is down for half or more.
    """
    hours, off = station.calendar.hours, False
    today, working = hours.local(shop.now).date(), 0
    opened = station.calendar.spans(shop.now, shop.now + (DAYS_AHEAD + 2) * variations.DAY_S)
    if not opened:
        return
    whole = next((span for span in opened if span.start > shop.now), opened[0])  # the first may have begun already
    begins = whole.start - hours.midnight(hours.local(whole.start).date())
    for ahead in range(DAYS_AHEAD):
        day = today + timedelta(days=ahead)
        midnight, following = hours.midnight(day), hours.midnight(day + timedelta(days=1))
        inside = [span for span in opened if midnight <= span.start < following]
        if inside and working < 2:
            working += 1
            nexts = (span.start for span in opened if span.start > inside[-1].end)
            end = min(inside[-1].end + OVERTIME_S, next(nexts, inside[-1].end + OVERTIME_S))
            extra = Span(inside[-1].end, end)
        elif not inside and not off and ahead:
            extra = Span(midnight + begins, midnight + begins + EXTRA_DAY_S)
        else:
            continue
        left = without((extra,), [Span(down.start, down.end) for down in hours.downtimes])
        if 2 * sum(span.end - span.start for span in left) > extra.end - extra.start:
            off = off or not inside
            yield extra


def _otherwise(shop: Shop, lot: Lot, index: int, planned_at: tuple[str, ...]) -> Iterator[Step]:
    """Yield how else an operation could be done."""
    operation = lot.operations[index]
    able = _able(shop, operation)
    pieces = sum(each.waiting + each.in_work for each in lot.operations[: index + 1])
    for station in able:
        if station not in planned_at and not operation.stations:
            yield Step(Help.ELSEWHERE, lot.key, operation.key, station)
    if len(able) > 1 and pieces >= LEAST_PIECES and operation.split == 1:
        yield Step(Help.SPLIT, lot.key, operation.key)
    following = lot.operations[index + 1] if index + 1 < len(lot.operations) else None
    at_stations = able and following is not None and not isinstance(following.taking, LeadTime | Purchase)
    if at_stations and operation.send_ahead is None and pieces >= LEAST_PIECES:
        yield Step(Help.AHEAD, lot.key, operation.key, pieces=-(-pieces // 4))


def _able(shop: Shop, operation: Operation) -> list[str]:
    """Return the stations that can do an operation; none where it needs none."""
    if isinstance(operation.taking, LeadTime | Purchase):
        return []
    if operation.stations:
        return [station.key for station in shop.stations if station.key in operation.stations]
    return [station.key for station in shop.stations if station.work_center == operation.work_center]
