"""Add and change people. Nobody is ever deleted: their name stands under what they did."""

import re
import secrets
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, next_number
from app.people import queries
from app.people.errors import (
    InitialsLengthError,
    InitialsTakenError,
    LastOwnerError,
    NameLengthError,
    NameTakenError,
    NoRoleError,
    PasswordNeededError,
    PasswordTooShortError,
    PinShapeError,
)
from app.people.models import Person, PersonRole, Role
from app.shared.database import transaction
from app.shared.errors import Problem, refuse
from app.shared.secret_hash import hash_of

LEAST_PASSWORD = 8
"""Characters; the least that NIST SP 800-63B allows for a password that a person chooses."""

LONGEST_NAME = 80
LONGEST_INITIALS = 4

Draw = Callable[[int], int]
"""Draws a whole number from 0 up to, not including, its argument."""


@dataclass(frozen=True, slots=True)
class NewPerson:
    """What is known of a person; an empty password or PIN means none, or, in a change, the one there is."""

    name: str
    initials: str
    roles: frozenset[Role]
    password: str = ""
    pin: str = ""


def add_person(session: orm.Session, new: NewPerson, draw: Draw = secrets.randbelow) -> Person:
    """Add a person and give them a badge number.

    Raises:
        RefusedError: something is wrong with it; its problems say what and where.
    """
    with transaction(session):
        refuse(_problems(session, new, None))
        person = Person(badge_number=_free_badge_number(session, draw))
        _write(person, new)
        session.add(person)
    return person


def change_person(session: orm.Session, person_id: int, new: NewPerson, now: datetime) -> Person:
    """Change a person; a new password or PIN also ends a lock.

    Raises:
        PersonNotFoundError: there is no such person.
        RefusedError: something is wrong with it; its problems say what and where.
    """
    with transaction(session):
        owners = queries.owners_under_lock(session)  # before the person, so that two changes never wait for each other
        person = queries.get_person(session, person_id, lock=True)
        problems = [*_problems(session, new, person)]
        if Role.OWNER not in new.roles and _is_last_owner(owners, person):
            problems.append(Problem("roles", LastOwnerError(person.name)))
        refuse(problems)
        _write(person, new)
        if new.password or new.pin:
            _end_lock(person, now)
    return person


def deactivate_person(session: orm.Session, person_id: int) -> Person:
    """Take a person off the active list: they can no longer sign in, and their badge no longer works.

    Raises:
        PersonNotFoundError: there is no such person.
        LastOwnerError: nobody could manage the shop any more.
    """
    with transaction(session):
        owners = queries.owners_under_lock(session)
        person = queries.get_person(session, person_id, lock=True)
        if _is_last_owner(owners, person):
            raise LastOwnerError(person.name)
        person.active = False
    return person


def activate_person(session: orm.Session, person_id: int) -> Person:
    """Put a person back on the active list, with the password, PIN and badge they had.

    Raises:
        PersonNotFoundError: there is no such person.
    """
    with transaction(session):
        person = queries.get_person(session, person_id, lock=True)
        person.active = True
    return person


def renew_badge(session: orm.Session, person_id: int, draw: Draw = secrets.randbelow) -> Person:
    """Give a person a new badge number; the old badge stops working at once.

    Raises:
        PersonNotFoundError: there is no such person.
    """
    with transaction(session):
        person = queries.get_person(session, person_id, lock=True)
        person.badge_number = _free_badge_number(session, draw)
    return person


def unlock_person(session: orm.Session, person_id: int, now: datetime) -> Person:
    """End a lock before its time; the person has all tries again.

    Raises:
        PersonNotFoundError: there is no such person.
    """
    with transaction(session):
        person = queries.get_person(session, person_id, lock=True)
        _end_lock(person, now)
    return person


def _problems(session: orm.Session, new: NewPerson, person: Person | None) -> Iterator[Problem]:
    """Find all that is wrong with ``new``; ``person`` is who is changed."""
    if not 1 <= len(new.name) <= LONGEST_NAME:
        yield Problem("name", NameLengthError(LONGEST_NAME))
    if not 1 <= len(new.initials) <= LONGEST_INITIALS:
        yield Problem("initials", InitialsLengthError(LONGEST_INITIALS))
    yield from _clashes(session, new, person)
    if not new.roles:
        yield Problem("roles", NoRoleError())
    yield from _bad_secrets(new, has_password=bool(person and person.password_hash))


def _clashes(session: orm.Session, new: NewPerson, person: Person | None) -> Iterator[Problem]:
    for other in queries.clashing_people(session, new.name, new.initials, person.id if person else None):
        if other.name.lower() == new.name.lower():
            yield Problem("name", NameTakenError(other.name, active=other.active))
        if other.initials.lower() == new.initials.lower():
            yield Problem("initials", InitialsTakenError(other.initials, other.name))


def _bad_secrets(new: NewPerson, *, has_password: bool) -> Iterator[Problem]:
    if new.password:
        yield from password_problems(new.password)
    if Role.OWNER in new.roles and not (new.password or has_password):
        yield Problem("password", PasswordNeededError())
    if new.pin:
        yield from pin_problems(new.pin)


def password_problems(password: str) -> Iterator[Problem]:
    """Find what is wrong with a new password."""
    if len(password) < LEAST_PASSWORD:
        yield Problem("password", PasswordTooShortError(LEAST_PASSWORD))


def pin_problems(pin: str) -> Iterator[Problem]:
    """Find what is wrong with a new PIN."""
    if not re.fullmatch("[0-9]{4,8}", pin):
        yield Problem("pin", PinShapeError())


def _is_last_owner(owners: list[Person], person: Person) -> bool:
    return [owner.id for owner in owners] == [person.id]


def _write(person: Person, new: NewPerson) -> None:
    person.name = new.name
    person.initials = new.initials
    person.role_rows = [
        *(row for row in person.role_rows if row.role in new.roles),
        *(PersonRole(role=role) for role in sorted(new.roles - person.roles)),
    ]
    if new.password:
        set_password(person, new.password)
    if new.pin:
        person.pin_hash = hash_of(new.pin)


def set_password(person: Person, password: str) -> None:
    """Give a person another password, which ends what was signed in under the one before."""
    person.password_hash = hash_of(password)
    person.session_stamp = (person.session_stamp or 0) + 1


def _end_lock(person: Person, now: datetime) -> None:
    # The end is kept, not emptied: failures before it no longer count.
    if person.locked_until is not None:
        person.locked_until = min(person.locked_until, now)


def _free_badge_number(session: orm.Session, draw: Draw) -> int:
    """Return a number that nobody wears, drawn so that a badge cannot be guessed from another one."""
    almost_all = CodeKind.BADGE.highest_number - 100  # so that there is always a next number
    while True:
        number = next_number(CodeKind.BADGE, draw(almost_all))
        if session.scalar(sa.select(Person.id).where(Person.badge_number == number)) is None:
            return number
