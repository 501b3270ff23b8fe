"""When a new order could be done, from the stored forecast: small enough to be reckoned while somebody types."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.core import promise as core
from app.core import shop as core_shop
from app.core.planning.batches import BatchLoad
from app.core.planning.results import Cause
from app.lots import queries as lot_queries
from app.lots.errors import LargestStartError
from app.lots.models import Lot, LotOperation
from app.parts import queries as part_queries
from app.parts.models import KindRole, OperationKind, Revision, Routing, RoutingOperation
from app.schedule.models import StationForecast
from app.schedule.queries.blanks import Delivery, read_supply
from app.schedule.queries.conversion import lead_days, planned_operation, taking_of
from app.schedule.queries.hours import ShopHours, moment_of, read_hours
from app.schedule.queries.obstacles import obstacle_words
from app.schedule.queries.outlooks import Age, age
from app.schedule.queries.snapshot import read_stations
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class Asked:
    """What a promise is asked for; ``due`` is the day it must leave."""

    revision_id: int
    quantity: int
    due: date | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """When it could be finished, or why nobody can say.

    Attributes:
        problem: why no date can be said; empty where one can.
        finish_at: when it could be finished.
        slack_seconds: how long before the shipping cut-off of its due day; negative: late.
        held_up_by: the station that it waits for longest, and how many seconds.
        blanks: what its blanks depend on, where it waits for them.
        is_guess: whether the date rests on one that nobody has confirmed.
        age: of the forecast that it fits into.
        in_stock: how many of the pieces lie finished in stock and are free; the rest is what could be finished.
    """

    problem: str = ""
    finish_at: datetime | None = None
    slack_seconds: int | None = None
    held_up_by: tuple[str, int] | None = None
    blanks: Delivery | None = None
    is_guess: bool = False
    age: Age | None = None
    in_stock: int = 0


def promise_for(session: orm.Session, asked: Asked, now: datetime) -> Outcome:
    """Reckon when so many good pieces could be there without moving anything that is planned, free stock first.

    Statements do not grow with lots; what is started is the quantity that gives enough with the shop's confidence.

    Raises:
        NotFoundError: no such revision.
        NoShopError: the shop is not set up yet.
    """
    free = lot_queries.free_stock(session, [asked.revision_id]).get(asked.revision_id, [])
    in_stock = min(asked.quantity, sum(each.pieces for each in free))
    made = age(session, now)
    if in_stock == asked.quantity:
        return Outcome(in_stock=in_stock)
    rest = replace(asked, quantity=asked.quantity - in_stock)
    return replace(_to_be_made(session, rest, made, now), in_stock=in_stock)


def _to_be_made(session: orm.Session, asked: Asked, made: Age | None, now: datetime) -> Outcome:
    if made is None:
        return Outcome(gettext("No forecast has been made yet. The date is shown once the planner has answered."))
    revision = part_queries.get_revision(session, asked.revision_id)
    routing = part_queries.routing_of(session, revision.id)
    if routing is None or not routing.operations:
        return Outcome(gettext("This revision has no routing yet, so nobody can say how long it takes."))
    try:
        pieces = lot_queries.start_of(session, routing, asked.quantity).quantity
    except LargestStartError as error:
        return Outcome(str(error))
    hours = read_hours(session, now)
    blanks = _blanks(session, hours, revision, routing, pieces)
    found = _fitted(session, hours, _new_lot(revision, routing, pieces, blanks))
    return replace(_answer(found, asked, hours, blanks), age=made)


def _blanks(
    session: orm.Session, hours: ShopHours, revision: Revision, routing: Routing, pieces: int
) -> tuple[Delivery, ...]:
    """Return the blanks that are left once the lots that wait for them have theirs."""
    ordering = next((each for each in routing.operations if each.kind.role is KindRole.BLANKS), None)
    if ordering is None:
        return ()
    wanted = session.scalar(
        sa.select(sa.func.coalesce(sa.func.sum(LotOperation.waiting), 0))
        .join(LotOperation.lot)
        .join(LotOperation.kind)
        .where(Lot.closed_at.is_(None), Lot.revision_id == revision.id, OperationKind.role == KindRole.BLANKS)
    )
    supply = read_supply(session, hours, {revision.id})
    supply.take(revision.id, int(wanted or 0), 0)
    return supply.take(revision.id, pieces, lead_days(ordering, revision.blank_lead_days))


def _new_lot(revision: Revision, routing: Routing, pieces: int, blanks: Sequence[Delivery]) -> core_shop.Lot:
    arrivals = tuple(delivery.arrival for delivery in blanks)
    operations = [_operation(row, revision, arrivals) for row in routing.operations]
    operations[0] = replace(operations[0], waiting=pieces)
    return core_shop.Lot(key="new", number="new", operations=tuple(operations))


def _operation(
    row: RoutingOperation, revision: Revision, arrivals: tuple[core_shop.Arrival, ...]
) -> core_shop.Operation:
    taking = taking_of(row, row.kind, revision.piece_grams, arrivals)
    return planned_operation(row, row.work_center, taking, revision.id)


def _fitted(session: orm.Session, hours: ShopHours, lot: core_shop.Lot) -> core.Promise:
    """Fit the lot into what the stored forecast leaves free."""
    centers = {operation.work_center for operation in lot.operations}
    stations = tuple(each for each in read_stations(session, hours) if each.work_center in centers)
    keys = {station.id: station.name for station in hours.stations}
    wanted = [key for key, name in keys.items() if any(station.key == name for station in stations)]
    rows = session.scalars(sa.select(StationForecast).where(StationForecast.station_id.in_(wanted)))
    busy = {keys[row.station_id]: _taken(row.busy) for row in rows}
    return core.promise(core_shop.Shop(hours.now, stations, (), hours.receiving), busy, lot)


def _taken(stored: Iterable[dict[str, Any]]) -> tuple[core.Busy, ...]:
    return tuple(
        core.Busy(**{**stretch, "batch": BatchLoad(**stretch["batch"]) if stretch["batch"] else None})
        for stretch in stored
    )


def _answer(found: core.Promise, asked: Asked, hours: ShopHours, blanks: Sequence[Delivery]) -> Outcome:
    lot = found.lot
    if lot.finish is None:
        reason = obstacle_words(lot.obstacle) if lot.obstacle else ""
        return Outcome(gettext("No date can be said. %(reason)s", reason=reason))
    waits = sum(
        reason.seconds for reason in lot.chain if reason.cause is Cause.BUSY and reason.station == found.held_up_by
    )
    waits_for_blanks = any(reason.cause is Cause.BLANKS for reason in lot.chain)
    return Outcome(
        finish_at=moment_of(lot.finish),
        slack_seconds=hours.cutoff(asked.due) - lot.finish if asked.due else None,
        held_up_by=(found.held_up_by, waits) if found.held_up_by else None,
        blanks=blanks[-1] if waits_for_blanks and blanks else None,
        is_guess=any(reason.guess for reason in lot.chain),
    )
