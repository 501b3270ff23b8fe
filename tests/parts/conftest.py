"""A shop with kinds of operation, and a part without a routing."""

import pytest

from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory
from tests.parts.shop import make_keys


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def keys(session):
    return make_keys()


@pytest.fixture
def revision(session):
    return RevisionFactory()
