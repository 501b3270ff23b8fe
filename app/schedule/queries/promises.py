"""When a new order could be done, from the stored forecast: small enough to be reckoned while somebody types."""

from collections.abc import Iterable, Mapping, Sequence
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
from app.parts.models import Component, KindRole, OperationKind, Revision, Routing, RoutingOperation
from app.schedule.models import Question, StationForecast
from app.schedule.queries.blanks import Delivery, read_supply
from app.schedule.queries.components import MissingComponent, missing_for_new
from app.schedule.queries.conversion import lead_days, planned_operation, taking_of
from app.schedule.queries.hours import ShopHours, moment_of, read_hours
from app.schedule.queries.obstacles import no_date_words
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
        component: what it waits for, where it does.
        crewed: whether people limit the work, of which only whether anybody is there is looked at.
    """

    problem: str = ""
    finish_at: datetime | None = None
    slack_seconds: int | None = None
    held_up_by: tuple[str, int] | None = None
    blanks: Delivery | None = None
    is_guess: bool = False
    age: Age | None = None
    in_stock: int = 0
    component: MissingComponent | None = None
    crewed: bool = False


def find_question(session: orm.Session, question_id: int) -> Question | None:
    """Return a question for the planner with its answer, if there is one already; None when it is gone."""
    return session.get(Question, question_id, populate_existing=True)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A lot that is not released yet, and what it would wait for."""

    lot: core_shop.Lot
    blanks: tuple[Delivery, ...]
    components: Mapping[int, MissingComponent]


def promise_for(session: orm.Session, asked: Asked, now: datetime) -> Outcome:
    """Reckon when so many good pieces could be there without moving anything that is planned, free stock first.

    Statements do not grow with lots; what is started is the quantity that gives enough with the shop's confidence.

    Raises:
        NotFoundError: no such revision.
        NoShopError: the shop is not set up yet.
    """
    in_stock, rest = from_stock(session, asked)
    made = age(session, now)
    if rest is None:
        return Outcome(in_stock=in_stock)
    return replace(_to_be_made(session, rest, made, now), in_stock=in_stock)


def from_stock(session: orm.Session, asked: Asked) -> tuple[int, Asked | None]:
    """Return how many pieces of an order are finished in stock and free, and what is left to be made, if anything."""
    free = lot_queries.free_stock(session, [asked.revision_id]).get(asked.revision_id, [])
    in_stock = min(asked.quantity, sum(each.pieces for each in free))
    return in_stock, replace(asked, quantity=asked.quantity - in_stock) if in_stock < asked.quantity else None


def _to_be_made(session: orm.Session, asked: Asked, made: Age | None, now: datetime) -> Outcome:
    if made is None:
        return Outcome(gettext("No forecast has been made yet. The date is shown once the planner has answered."))
    hours = read_hours(session, now)
    wanted = wanted_lot(session, hours, asked)
    if isinstance(wanted, str):
        return Outcome(wanted)
    return replace(_answer(_fitted(session, hours, wanted.lot), asked, hours, wanted), age=made)


def wanted_lot(session: orm.Session, hours: ShopHours, asked: Asked) -> Wanted | str:
    """Return the lot that would be released for a quantity, or why nobody can say what it would be.

    Raises:
        NotFoundError: no such revision.
    """
    revision = part_queries.get_revision(session, asked.revision_id)
    routing = part_queries.routing_of(session, revision.id)
    if routing is None or not routing.operations:
        return gettext("This revision has no routing yet, so nobody can say how long it takes.")
    try:
        pieces = lot_queries.start_of(session, routing, asked.quantity).quantity
    except LargestStartError as error:
        return str(error)
    blanks = _blanks(session, hours, revision, routing, pieces)
    taken = sa.select(Component).where(Component.revision_id == revision.id).options(orm.joinedload(Component.part))
    components = missing_for_new(session, hours, session.scalars(taken).all(), pieces)
    return Wanted(_new_lot(revision, routing, pieces, blanks, components, hours.now), blanks, components)


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


def _new_lot(
    revision: Revision,
    routing: Routing,
    pieces: int,
    blanks: Sequence[Delivery],
    components: Mapping[int, MissingComponent],
    now: int,
) -> core_shop.Lot:
    arrivals = tuple(delivery.arrival for delivery in blanks)
    operations = [
        replace(
            _operation(row, revision, arrivals),
            not_before=components[row.number].not_before if row.number in components else None,
        )
        for row in routing.operations
    ]
    operations[0] = replace(operations[0], waiting=pieces)
    return core_shop.Lot(key="new", number="new", operations=tuple(operations), released=now)


def _operation(
    row: RoutingOperation, revision: Revision, arrivals: tuple[core_shop.Arrival, ...]
) -> core_shop.Operation:
    taking = taking_of(row, row.kind, revision.piece_grams, arrivals)
    return planned_operation(row, row.work_center, taking, revision.id)


def _fitted(session: orm.Session, hours: ShopHours, lot: core_shop.Lot) -> core.Promise:
    """Fit the lot into what the stored forecast leaves free."""
    centers = {operation.work_center for operation in lot.operations}
    there = {station.name: hours.attended(station) for station in hours.stations if station.work_center.name in centers}
    wanted_stations = (each for each in read_stations(session, hours) if each.work_center in centers)
    stations = tuple(replace(each, calendar=there[each.key]) for each in wanted_stations)
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


def _answer(found: core.Promise, asked: Asked, hours: ShopHours, wanted: Wanted) -> Outcome:
    lot = found.lot
    if lot.finish is None:
        return Outcome(no_date_words(lot.obstacle))
    waits = sum(
        reason.seconds for reason in lot.chain if reason.cause is Cause.BUSY and reason.station == found.held_up_by
    )
    waits_for = [reason.operation for reason in lot.chain if reason.cause is Cause.COMPONENTS]
    waits_for_blanks = any(reason.cause is Cause.BLANKS for reason in lot.chain)
    return Outcome(
        finish_at=moment_of(lot.finish),
        slack_seconds=hours.cutoff(asked.due) - lot.finish if asked.due else None,
        held_up_by=(found.held_up_by, waits) if found.held_up_by else None,
        blanks=wanted.blanks[-1] if waits_for_blanks and wanted.blanks else None,
        component=next((wanted.components[int(each)] for each in waits_for), None),
        is_guess=any(reason.guess for reason in lot.chain),
        crewed=hours.people is not None,
    )
