"""Prove who somebody is: a password for the office, a badge and PIN for the floor.

Five failures in a row with the same secret lock the person, wherever they try next: tablets are shared, so an address
says nothing. Each try that was checked is kept.
"""

from datetime import datetime, timedelta
from enum import StrEnum

from sqlalchemy import orm

from app.people import queries
from app.people.errors import LockedError, NoPinError, WrongPasswordError, WrongPinError
from app.people.models import Person, SignInAttempt
from app.shared.database import transaction
from app.shared.secret_hash import matches

LOCK_AFTER = 5
LOCK_FOR = timedelta(minutes=5)


class Secret(StrEnum):
    """What a person proves themselves with."""

    PASSWORD = "password"  # noqa: S105 - the name of a secret, not one
    PIN = "pin"


def check_password(session: orm.Session, name: str, password: str, now: datetime) -> Person:
    """Return the person whose name (or initials) and password were typed, and keep the attempt.

    Raises:
        WrongPasswordError: the name is unknown or the password wrong; which of the two is not told.
        LockedError: the person is locked, or is from this failure on.
    """
    person = queries.person_by_name(session, name)
    if person is None:
        matches("", password)  # an unknown name takes as long to refuse as a wrong password
        raise WrongPasswordError
    left = tries_left(session, person, Secret.PASSWORD, password, now)
    if left is not None:
        raise WrongPasswordError
    return person


def check_pin(session: orm.Session, badge_number: int, pin: str, now: datetime) -> Person:
    """Return the person who wears the badge and knows its PIN, and keep the attempt.

    Call it before a use case's own transaction: a failure inside one would be rolled back with it and not count.

    Raises:
        UnknownBadgeError: nobody wears this badge now.
        NoPinError: the person has no PIN yet.
        WrongPinError: it says how many tries are left.
        LockedError: the person is locked, or is from this failure on.
    """
    person = queries.person_by_badge(session, badge_number)
    if not person.pin_hash:
        raise NoPinError(person.name)
    left = tries_left(session, person, Secret.PIN, pin, now)
    if left is not None:
        raise WrongPinError(left)
    return person


def tries_left(session: orm.Session, person: Person, secret: Secret, typed: str, now: datetime) -> int | None:
    """Check and keep one attempt; None where it succeeded, else how many tries are left.

    The hash is computed before the write lock is taken, because it takes a tenth of a second; the lock on the person
    is looked at again under the write lock, so that many tries at once are no way round it.

    Raises:
        LockedError: the person is locked, or is from this failure on.
    """
    _refuse_locked(person, now)
    kept_hash = person.password_hash if secret is Secret.PASSWORD else person.pin_hash
    succeeded = matches(kept_hash, typed)
    person_id = person.id
    with transaction(session):
        person = queries.get_person(session, person_id, lock=True)
        _refuse_locked(person, now)
        session.add(SignInAttempt(person_id=person_id, at=now, secret=secret.value, succeeded=succeeded))
        session.flush()
        left = LOCK_AFTER - queries.failures_in_a_row(session, person, secret.value)
        if left <= 0:
            person.locked_until = now + LOCK_FOR
    # Told by what this try came to: another one may have locked the person since.
    if left <= 0:
        raise LockedError(person.name, now + LOCK_FOR)
    return None if succeeded else left


def _refuse_locked(person: Person, now: datetime) -> None:
    if person.locked_until is not None and person.is_locked(now):
        raise LockedError(person.name, person.locked_until)
