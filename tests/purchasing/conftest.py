"""A shop with lots that wait for blanks; the books must balance at the end of every test."""

import pytest

from app.lots.queries.verify import differences
from app.material.services import recount_issued
from tests.factories.purchasing import make_blank
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    yield ShopFactory()
    session.rollback()
    assert list(differences(session)) == []
    assert recount_issued(session) == []


@pytest.fixture
def blank(session):
    """Return a revision whose blanks are plates of nine pieces."""
    return make_blank()
