"""Signing people on and off at a station."""

from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor import queries
from app.floor.errors import NotSignedOnError
from app.floor.models import SignOn
from app.people.errors import LockedError
from app.people.models import Person
from app.people.queries import person_by_badge
from app.people.services import check_pin
from app.shared.database import transaction
from app.stations.queries import get_station

A_MOMENT = timedelta(microseconds=1)


def sign_on_with_pin(session: orm.Session, station_id: int, badge_number: int, pin: str, now: datetime) -> SignOn:
    """Sign on at a station with badge and PIN; whoever acted there before is signed off.

    Raises:
        PlainError: badge unknown, PIN wrong or missing, person locked (see ``people.services.check_pin``).
    """
    person = check_pin(session, badge_number, pin, now)
    return _sign_on(session, station_id, person.id, now, now)


def sign_on_again(
    session: orm.Session, station_id: int, badge_number: int, happened_at: datetime, now: datetime
) -> SignOn:
    """Sign on with the badge alone, where this person gave their PIN on this device today.

    Raises:
        UnknownBadgeError: nobody wears this badge now.
        LockedError: too many failed tries lock the person.
    """
    person = unlocked_wearer(session, badge_number, now)
    return _sign_on(session, station_id, person.id, happened_at, now)


def unlocked_wearer(session: orm.Session, badge_number: int, now: datetime) -> Person:
    """Return who wears a badge, where nothing keeps them from using it.

    Raises:
        UnknownBadgeError: nobody wears this badge now.
        LockedError: too many failed tries lock the person.
    """
    person = person_by_badge(session, badge_number)
    if person.locked_until is not None and person.is_locked(now):
        raise LockedError(person.name, person.locked_until)
    return person


def _sign_on(session: orm.Session, station_id: int, person_id: int, happened_at: datetime, now: datetime) -> SignOn:
    with transaction(session):
        get_station(session, station_id, lock=True)
        _end_idle(session, station_id, now)
        here = queries.signed_on(session, station_id, happened_at)
        mine = next((each for each in here if each.person_id == person_id), None)
        if mine is not None:
            _act_first(mine, here, happened_at)
            return mine
        for other in here:
            other.ended_at = happened_at
        fresh = SignOn(station_id=station_id, person_id=person_id, begun_at=happened_at, seen_at=happened_at)
        session.add(fresh)
    return fresh


def _act_first(mine: SignOn, here: list[SignOn], happened_at: datetime) -> None:
    """Make the person who scanned the one seen last, also where another was seen in the same instant."""
    mine.seen_at = max(happened_at, *(each.seen_at for each in here))
    for other in here:
        if other is not mine:
            other.seen_at = min(other.seen_at, mine.seen_at - A_MOMENT)


def _end_idle(session: orm.Session, station_id: int, now: datetime) -> None:
    """Write down the end of sign-ons that ran out by the shop's idle time."""
    idle = queries.idle_time(session)
    for old in session.scalars(
        sa.select(SignOn).where(SignOn.station_id == station_id, SignOn.ended_at.is_(None), SignOn.seen_at < now - idle)
    ):
        old.ended_at = old.seen_at + idle


def sign_off_person(session: orm.Session, station_id: int, sign_on_id: int, now: datetime) -> Person:
    """Sign a person off at a station; what they have open stays open.

    Raises:
        NotSignedOnError: they are not signed on there any more.
    """
    with transaction(session):
        found = next((each for each in queries.signed_on(session, station_id, now) if each.id == sign_on_id), None)
        if found is None:
            raise NotSignedOnError
        found.ended_at = now
    return found.person


def keep_signed_on(session: orm.Session, station_id: int, now: datetime) -> list[Person]:
    """Keep those signed on whom the last badge took over from: both work here. The last one still acts.

    Raises:
        NotSignedOnError: there is nobody to keep, or it is too long ago.
    """
    with transaction(session):
        here = queries.signed_on(session, station_id, now)
        kept = queries.just_taken_over(session, here[0], now) if here else []
        if not kept:
            raise NotSignedOnError
        for each in kept:
            each.ended_at = None
            each.seen_at = min(each.seen_at, here[0].seen_at)
    return [each.person for each in kept]
