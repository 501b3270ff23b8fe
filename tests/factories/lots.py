"""Lots released through the program's own service."""

import itertools
from datetime import UTC, date, datetime

from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.lots.services import Act, NewLot, Share, release_lot
from app.orders.models import Delivery
from app.parts.models import KindRole, Revision, Routing, Taking
from app.stations.models import Station
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.parts import OperationKindFactory, RevisionFactory, RoutingFactory, RoutingOperationFactory
from tests.factories.stations import StationFactory

MORNING = datetime(2026, 1, 7, 15, 0, tzinfo=UTC)
_keys = itertools.count(1)


def act(**circumstances) -> Act:
    """Return an act with a fresh key, on the morning of the tests."""
    facts = {"key": f"test-{next(_keys)}", "happened_at": MORNING, "recorded_at": MORNING}
    return Act(**{**facts, **circumstances})


def make_routing(*, operations: int = 3, blanks: bool = False, revision: Revision | None = None, **plan) -> Routing:
    """Make a routing of milling operations, each in a work center of its own with one station."""
    routing = RoutingFactory(revision=revision or RevisionFactory(piece_grams=500, blank_grams=900))
    if blanks:
        kind = OperationKindFactory(name=f"blanks {routing.id}", role=KindRole.BLANKS)
        RoutingOperationFactory(
            routing=routing,
            number=5,
            title="Order blanks",
            kind=kind,
            work_center=None,
            taking=Taking.LEAD_TIME,
            lead_days=5,
            cycle_ms=0,
            setup_seconds=0,
        )
    for index in range(operations):
        station = StationFactory()
        RoutingOperationFactory(
            routing=routing, number=10 * (index + 1), title=f"Step {index + 1}", work_center=station.work_center, **plan
        )
    return routing


def make_lot(
    session: orm.Session, *, pieces: int = 50, routing: Routing | None = None, when: datetime = MORNING, **release
) -> Lot:
    """Release a lot of a three-step routing for stock."""
    routing = routing or make_routing()
    session.expire_all()
    lot = release_lot(
        session,
        act(happened_at=when, recorded_at=when),
        NewLot(revision_id=routing.revision_id, needed=pieces, to_start=pieces, **release),
    )
    session.commit()
    return lot


def make_ordered_lot(session: orm.Session, *, pieces: int = 50, due: date = date(2026, 2, 6), **order) -> Lot:
    """Release a lot for one delivery."""
    routing = make_routing()
    line = OrderLineFactory(revision=routing.revision, **order)
    delivery: Delivery = DeliveryFactory(line=line, quantity=pieces, due=due, first_due=due)
    return make_lot(session, pieces=pieces, routing=routing, shares=(Share(delivery.id, pieces),))


def station_of(operation: LotOperation) -> Station:
    """Return the first station of an operation's work center."""
    assert operation.work_center is not None
    return operation.work_center.stations[0]


def whereabouts(lot: Lot) -> dict[str, int]:
    """Return where a lot's pieces are, without empty places."""
    found: dict[str, int] = {}
    for operation in lot.operations:
        for place in ("waiting", "in_work", "counted", "held", "scrapped", "at_vendor"):
            if getattr(operation, place):
                found[f"{operation.number} {place}"] = getattr(operation, place)
    for place in ("in_stock", "shipped", "in_other_lots"):
        if getattr(lot, place):
            found[place] = getattr(lot, place)
    return found
