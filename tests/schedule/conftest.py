"""A shop that is set up."""

import pytest

from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    """Return the shop: Chicago, shipping until 15:00. Its stations are open 6:00 to 18:00 on weekdays."""
    return ShopFactory()
