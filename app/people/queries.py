"""What pages need to know about people."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.people.errors import PersonNotFoundError, UnknownBadgeError
from app.people.models import Person, PersonRole, Role, SignInAttempt
from app.shared.database import lock_row
from app.shared.paging import Page, paged


def people_page(session: orm.Session, number: int) -> Page[Person]:
    """Return a page of all people, the active ones first, by name."""
    by_name = sa.select(Person).order_by(Person.active.desc(), sa.func.lower(Person.name), Person.id)
    return paged(session, by_name, number)


def get_person(session: orm.Session, person_id: int, *, lock: bool = False) -> Person:
    """Return one person, active or not.

    Raises:
        PersonNotFoundError: there is none with this key.
    """
    person = lock_row(session, Person, person_id) if lock else session.get(Person, person_id)
    if person is None:
        raise PersonNotFoundError
    return person


def signed_in_person(session: orm.Session, person_id: int) -> Person | None:
    """Return the active person with their roles in one statement, or None."""
    return (
        session.scalars(
            sa.select(Person).where(Person.id == person_id, Person.active).options(orm.joinedload(Person.role_rows))
        )
        .unique()
        .one_or_none()
    )


def active_people(session: orm.Session, *roles: Role) -> list[Person]:
    """Return the active people by name, for choosing one; only those with one of ``roles`` where any are given."""
    wanted = sa.select(Person).where(Person.active).order_by(sa.func.lower(Person.name), Person.id)
    if roles:
        wanted = wanted.where(Person.role_rows.any(PersonRole.role.in_(roles)))
    return list(session.scalars(wanted))


def person_by_badge(session: orm.Session, badge_number: int) -> Person:
    """Return the active person who wears the badge.

    Raises:
        UnknownBadgeError: nobody does.
    """
    person = session.scalars(sa.select(Person).where(Person.badge_number == badge_number, Person.active)).one_or_none()
    if person is None:
        raise UnknownBadgeError
    return person


def person_by_name(session: orm.Session, name: str) -> Person | None:
    """Return the active person with this name, else with these initials; capitals do not matter."""
    typed = " ".join(name.split()).lower()
    by_name = sa.func.lower(Person.name) == typed
    found = session.scalars(
        sa.select(Person)
        .where(Person.active, sa.or_(by_name, sa.func.lower(Person.initials) == typed))
        .order_by(by_name.desc())
    )
    return found.first()


def has_owner(session: orm.Session) -> bool:
    """Say whether anybody is an active owner."""
    owner = sa.select(Person.id).where(Person.active, Person.role_rows.any(PersonRole.role == Role.OWNER))
    return session.scalar(owner.limit(1)) is not None


def owners_under_lock(session: orm.Session) -> list[Person]:
    """Return the active owners, each row locked, so that two changes at once cannot remove the last of them."""
    return list(
        session.scalars(
            sa.select(Person)
            .where(Person.active, Person.role_rows.any(PersonRole.role == Role.OWNER))
            .order_by(Person.id)
            .with_for_update()
            .execution_options(populate_existing=True)
        )
    )


def clashing_people(session: orm.Session, name: str, initials: str, but: int | None) -> list[Person]:
    """Return the people, active or not, who have this name or these initials, save the one with the key ``but``."""
    same_name = sa.func.lower(Person.name) == name.lower()
    same_initials = sa.func.lower(Person.initials) == initials.lower()
    return list(
        session.scalars(
            sa.select(Person).where(sa.or_(same_name, same_initials), Person.id != (but or 0)).order_by(Person.id)
        )
    )


def failures_in_a_row(session: orm.Session, person: Person, secret: str) -> int:
    """Count the failed attempts with this secret since the last success and since the last lock ended."""
    mine = (SignInAttempt.person_id == person.id) & (SignInAttempt.secret == secret)
    last_success = sa.select(sa.func.coalesce(sa.func.max(SignInAttempt.id), 0)).where(mine, SignInAttempt.succeeded)
    failures = sa.select(sa.func.count(SignInAttempt.id)).where(mine, SignInAttempt.id > last_success.scalar_subquery())
    if person.locked_until is not None:
        failures = failures.where(SignInAttempt.at >= person.locked_until)
    return session.scalar(failures) or 0


def last_sign_in(session: orm.Session, person: Person) -> datetime | None:
    """Return when the person last signed in to the office or on at a station."""
    return session.scalar(
        sa.select(sa.func.max(SignInAttempt.at)).where(SignInAttempt.person_id == person.id, SignInAttempt.succeeded)
    )
