"""What would help a late lot: each remedy is tried by planning the shop anew with it."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import Final

from app.core.planning import variations
from app.core.planning.decoding import PLAIN, Engine
from app.core.planning.forecasts import forecast
from app.core.planning.ranked import LotMove, lateness, lot_moves, weighted_lateness
from app.core.planning.results import Cause, Forecast, LotForecast
from app.core.shop import LeadTime, Lot, Operation, Purchase, Shop, Station
from app.core.worktime import Span

OVERTIME_S: Final = 4 * 3600
EXTRA_DAY_S: Final = 8 * 3600
DAYS_AHEAD: Final = 8
STATIONS: Final = 2
"""Overtime is tried at so many stations: those that the lot waits for longest."""
SOONER_DAYS: Final = 3
LEAST_PIECES: Final = 4
"""Fewer are not worth splitting or sending ahead."""
HOUR_S: Final = 3600


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
        setters: more people who set up, the fewer who tend; below zero the other way round.
        days: by which blanks come sooner.
    """

    help: Help
    lot: str = ""
    operation: str = ""
    station: str = ""
    start: int = 0
    end: int = 0
    pieces: int = 0
    setters: int = 0
    days: int = 0


@dataclass(frozen=True, slots=True)
class Remedy:
    """A step and what comes of it.

    Attributes:
        step: what is done.
        finish: when the lot is then finished.
        saved_s: seconds that the lot is less late.
        others_s: seconds that all other lots together are later past their due times; below zero when they gain.
        total_s: weighted seconds past due that the whole shop saves.
        losers: the lots that get later past their due times, the worst first.
    """

    step: Step
    finish: int
    saved_s: int
    others_s: int
    total_s: int
    losers: tuple[LotMove, ...]


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
            changed = variations.with_people(shop, step.setters, -step.setters)
        case Help.BLANKS:
            changed = variations.with_blanks_sooner(shop, step.lot, step.days)
    return changed


def remedies(shop: Shop, key: str, engine: Engine = PLAIN) -> list[Remedy]:
    """Return what makes a lot less late, the most saved hours first, of equals what costs others least.

    Raises:
        KeyError: there is no such lot.
    """
    before = forecast(shop, engine)
    lot = next(lot for lot in shop.lots if lot.key == key)
    found = (_tried(shop, before, lot, step, engine) for step in steps(shop, before.lots[key], lot))
    helping = (remedy for remedy in found if remedy is not None and remedy.saved_s > 0)
    return sorted(helping, key=lambda remedy: (-(remedy.saved_s // HOUR_S), remedy.others_s))


def _tried(shop: Shop, before: Forecast, lot: Lot, step: Step, engine: Engine) -> Remedy | None:
    """Return what a step comes to; None where the lot cannot be planned with it."""
    after = forecast(applied(shop, step), engine)
    finish = after.lots[lot.key].finish
    if finish is None:
        return None
    moves = lot_moves(shop, before, after)
    return Remedy(
        step=step,
        finish=finish,
        saved_s=lateness(before.lots[lot.key].finish, lot.due) - lateness(finish, lot.due),
        others_s=-sum(move.gain_s for move in moves if move.lot != lot.key),
        total_s=weighted_lateness(shop, before) - weighted_lateness(shop, after),
        losers=tuple(move for move in reversed(moves) if move.gain_s < 0 and move.lot != lot.key),
    )


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
    if shop.people is not None:
        yield from (Step(Help.PERSON, setters=more) for more in (1, -1))
    if any(reason.cause is Cause.BLANKS for reason in planned.chain):
        yield Step(Help.BLANKS, lot.key, days=SOONER_DAYS)


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
    """Yield overtime that a station could have: after its next two working days, and on its next day off."""
    hours, off = station.calendar.hours, False
    today, working = hours.local(shop.now).date(), 0
    opened = station.calendar.spans(shop.now, shop.now + (DAYS_AHEAD + 2) * variations.DAY_S)
    if not opened:
        return
    begins = opened[0].start - hours.midnight(hours.local(opened[0].start).date())
    for ahead in range(DAYS_AHEAD):
        day = today + timedelta(days=ahead)
        midnight, following = hours.midnight(day), hours.midnight(day + timedelta(days=1))
        inside = [span for span in opened if midnight <= span.start < following]
        if inside and working < 2:
            working += 1
            nexts = (span.start for span in opened if span.start > inside[-1].end)
            end = min(inside[-1].end + OVERTIME_S, next(nexts, inside[-1].end + OVERTIME_S))
            yield Span(inside[-1].end, end)
        elif not inside and not off and ahead:
            off = True
            yield Span(midnight + begins, midnight + begins + EXTRA_DAY_S)


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
