"""The shop and its wall clock."""

from functools import lru_cache
from zoneinfo import ZoneInfo, available_timezones

from sqlalchemy import orm

from app.stations.errors import NoShopError
from app.stations.models import Shop

ONLY_ROW = 1
_UNITED_STATES = (
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "Pacific/Honolulu",
)
_REGIONS = {
    "Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific",
}  # fmt: skip


def find_shop(session: orm.Session) -> Shop | None:
    """Return the shop, or None before it is set up. Read once in a session as long as a reference is held."""
    return session.get(Shop, ONLY_ROW)


def shop(session: orm.Session) -> Shop:
    """Return the shop.

    Raises:
        NoShopError: it is not set up yet.
    """
    found = find_shop(session)
    if found is None:
        raise NoShopError
    return found


def shop_zone(session: orm.Session) -> ZoneInfo:
    """Return the zone of the shop's wall clock.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    return ZoneInfo(shop(session).time_zone)


@lru_cache
def time_zones() -> dict[str, list[str]]:
    """Return the IANA zones to choose from, grouped: those of the United States first, then by region."""
    groups: dict[str, list[str]] = {"United States": list(_UNITED_STATES)}
    for name in sorted(available_timezones() - set(_UNITED_STATES)):
        region = name.split("/")[0]
        if region in _REGIONS:
            groups.setdefault(region, []).append(name)
    return {**groups, "UTC": ["UTC"]}
