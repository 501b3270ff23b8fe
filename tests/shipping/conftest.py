"""A shop, a customer's order for 50 and a finished lot for it."""

import pytest

from app.lots.queries.verify import differences
from app.shipping.queries.verify import differences as shipment_differences
from tests.factories.shipping import make_delivery, make_finished_lot, make_revision
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    """Return the shop; the books must balance at the end of every test."""
    yield ShopFactory()
    session.rollback()
    assert list(differences(session)) == []
    assert list(shipment_differences(session)) == []


@pytest.fixture
def revision(session):
    return make_revision()


@pytest.fixture
def delivery(revision):
    return make_delivery(revision)


@pytest.fixture
def lot(session, revision, delivery):
    return make_finished_lot(session, revision, (delivery, 50))
