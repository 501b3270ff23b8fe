"""Set up the shop once, and change its settings."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import time

from sqlalchemy import orm

from app.core.calendar_hours import zone_info
from app.people import queries as people_queries
from app.people import services as people
from app.people.models import Person
from app.shared.database import lock_row, transaction
from app.shared.errors import Problem, RefusedError, refuse
from app.shared.units import UnitSystem
from app.stations import queries
from app.stations.errors import AlreadySetUpError, UnknownCountryError, UnknownStateError, UnknownZoneError
from app.stations.models import Shop

SetupStep = Callable[[orm.Session], object]
"""What another area adds to a new shop, such as the usual kinds of operation; part of the same transaction."""


@dataclass(frozen=True, slots=True)
class ShopSettings:
    """What an owner decides about the shop; ``state`` is a code or a name, empty for the whole country."""

    name: str
    time_zone: str
    shipping_cutoff: time
    units: UnitSystem = UnitSystem.INCH
    country: str = "US"
    state: str = ""
    lift_limit_grams: int = 23_000
    idle_minutes: int = 240
    sure_percent: int = 95
    search_seconds: int = 60
    plan_gain_hours: int = 8
    promise_percent: int = 80
    address: str = ""


def set_up_shop(
    session: orm.Session, settings: ShopSettings, owner: people.NewPerson, steps: Iterable[SetupStep] = ()
) -> Person:
    """Make the shop and its first owner, then run the ``steps`` of other areas; return the owner.

    Raises:
        AlreadySetUpError: there is an owner already.
        RefusedError: something is wrong; its problems say what and where, with ``owner_`` before what is the owner's.
    """
    with transaction(session):
        if people_queries.has_owner(session):
            raise AlreadySetUpError
        _write(session, settings)
        person = _add_owner(session, owner)
        session.flush()
        for step in steps:
            step(session)
    return person


def change_shop(session: orm.Session, settings: ShopSettings) -> Shop:
    """Change the settings of the shop, or make the shop where a command made its first owner.

    Raises:
        RefusedError: a setting is wrong; its problems say which.
    """
    with transaction(session):
        return _write(session, settings)


def _add_owner(session: orm.Session, owner: people.NewPerson) -> Person:
    try:
        return people.add_person(session, owner)
    except RefusedError as refused:
        renamed = (Problem(f"owner_{each.place}", each.error) for each in refused.problems)
        raise RefusedError(renamed) from refused


def _problems(settings: ShopSettings) -> Iterator[Problem]:
    try:
        zone_info(settings.time_zone)
    except ValueError:
        yield Problem("time_zone", UnknownZoneError(settings.time_zone))
    try:
        queries.state_code(settings.country, settings.state)
    except UnknownCountryError as error:
        yield Problem("country", error)
    except UnknownStateError as error:
        yield Problem("state", error)


def _write(session: orm.Session, settings: ShopSettings) -> Shop:
    refuse(_problems(settings))
    shop = lock_row(session, Shop, queries.ONLY_ROW)
    if shop is None:
        shop = Shop(id=queries.ONLY_ROW)
        session.add(shop)
    shop.name = settings.name
    shop.time_zone = settings.time_zone
    shop.shipping_cutoff = settings.shipping_cutoff
    shop.units = settings.units
    shop.holiday_country = settings.country
    shop.holiday_state = queries.state_code(settings.country, settings.state)
    shop.lift_limit_grams = settings.lift_limit_grams
    shop.idle_minutes = settings.idle_minutes
    shop.sure_percent = settings.sure_percent
    shop.search_seconds = settings.search_seconds
    shop.plan_gain_hours = settings.plan_gain_hours
    shop.promise_percent = settings.promise_percent
    shop.address = settings.address
    return shop
