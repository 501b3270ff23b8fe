"""A shop that is set up, and a late lot in it."""

from datetime import date

import pytest

from tests.factories.lots import make_lot
from tests.factories.schedule import routing_of, single
from tests.factories.stations import ShopFactory, StationFactory


@pytest.fixture(autouse=True)
def shop(session):
    """Return the shop: Chicago, shipping until 15:00. Its stations are open 6:00 to 18:00 on weekdays."""
    return ShopFactory()


@pytest.fixture
def late(session):
    """A lot of 12 hours that must leave today, behind one of 3 hours; its work center has a second station, slower."""
    routing = routing_of(single(18))
    center = routing.operations[0].work_center
    StationFactory(work_center=center, name="Spare", pace=50)
    first = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 6))
    return make_lot(session, pieces=40, routing=routing, due_on=date(2026, 1, 7)), first
