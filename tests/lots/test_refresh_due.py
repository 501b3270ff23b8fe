"""A lot's due date follows the first delivery that it still owes pieces to."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.models import Lot, LotDelivery
from app.lots.services import Share, refresh_due, split_lot
from app.orders.services import Talk, Terms, add_shipped, change_delivery
from app.shared.database import transaction
from tests.factories.lots import MORNING, act, make_lot, make_routing
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.stations import ShopFactory

EARLY, LATE = date(2026, 2, 6), date(2026, 3, 6)


@pytest.fixture
def deliveries(session):
    routing = make_routing()
    line = OrderLineFactory(revision=routing.revision, rush=True)
    other = OrderLineFactory(revision=routing.revision)
    return [
        DeliveryFactory(line=line, quantity=30, due=EARLY, first_due=EARLY),
        DeliveryFactory(line=other, quantity=20, due=LATE, first_due=LATE),
    ]


@pytest.fixture
def lot(app, session, deliveries):
    shares = (Share(deliveries[0].id, 30), Share(deliveries[1].id, 20))
    return make_lot(session, routing=deliveries[0].line.revision.routings[0], shares=shares)


def test_a_filled_delivery_moves_the_due_date_and_rush_to_the_next_one(session, lot, deliveries):
    assert (lot.due_on, lot.rush) == (EARLY, True)
    add_shipped(session, deliveries[0].id, 30, MORNING)
    assert (lot.due_on, lot.rush) == (LATE, False)


def test_a_lot_that_owes_nothing_more_has_no_due_date(session, lot, deliveries):
    add_shipped(session, deliveries[0].id, 30, MORNING)
    add_shipped(session, deliveries[1].id, 20, MORNING)
    assert lot.due_on is None
    add_shipped(session, deliveries[1].id, -20, MORNING)
    session.expire_all()
    assert lot.due_on == LATE


def test_a_moved_date_moves_the_lot(session, lot, deliveries):
    ShopFactory()
    moved = date(2026, 2, 13)
    change_delivery(session, deliveries[0].id, Terms(30, moved), Talk("moved", MORNING))
    assert lot.due_on == moved


def test_an_open_delivery_that_has_its_share_of_the_lot_does_not_hold_it(session, lot, deliveries):
    with transaction(session):
        share = session.scalars(sa.select(LotDelivery).where(LotDelivery.delivery_id == deliveries[0].id)).one()
        share.shipped = 30
        refresh_due(session, lot)
    assert lot.due_on == LATE


def test_a_wished_date_of_a_stock_lot_stays(session, app):
    wished = date(2026, 4, 1)
    lot = make_lot(session, due_on=wished)
    with transaction(session):
        refresh_due(session, lot)
    assert lot.due_on == wished


def test_a_split_gives_each_lot_the_due_date_of_its_own_deliveries(session, lot):
    child = split_lot(session, act(), lot.operations[0].id, 20)
    assert (session.get_one(Lot, child.id).due_on, session.get_one(Lot, lot.id).due_on) == (LATE, EARLY)
    assert [(share.delivery.due, share.quantity) for share in child.deliveries] == [(LATE, 20)]
