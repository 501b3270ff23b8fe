"""Change one's own password or PIN; each needs the one before, and a wrong one counts as a failed try."""

from datetime import datetime

from sqlalchemy import orm

from app.people import queries
from app.people.errors import LockedError, NoPinError, WrongOldPasswordError, WrongPinError
from app.people.models import Person
from app.people.services.people import password_problems, pin_problems, set_password
from app.people.services.sign_in import Secret, tries_left
from app.shared.database import transaction
from app.shared.errors import PlainError, Problem, refuse
from app.shared.secret_hash import hash_of


def change_own_password(session: orm.Session, person_id: int, old: str, new: str, now: datetime) -> Person:
    """Change a person's password at their own wish; other sessions of theirs end.

    Raises:
        RefusedError: the old password is wrong, the new one too short, or the person is locked.
    """
    refuse(password_problems(new))
    _prove(session, person_id, Secret.PASSWORD, old, now)
    with transaction(session):
        person = queries.get_person(session, person_id, lock=True)
        set_password(person, new)
    return person


def change_own_pin(session: orm.Session, person_id: int, old: str, new: str, now: datetime) -> Person:
    """Change a person's PIN at their own wish.

    Raises:
        RefusedError: there is no PIN, the old one is wrong, the new one no PIN, or the person is locked.
    """
    refuse(pin_problems(new))
    person = queries.get_person(session, person_id)
    if not person.pin_hash:
        refuse([Problem("old_pin", NoPinError(person.name))])
    _prove(session, person_id, Secret.PIN, old, now)
    with transaction(session):
        person = queries.get_person(session, person_id, lock=True)
        person.pin_hash = hash_of(new)
    return person


def _prove(session: orm.Session, person_id: int, secret: Secret, old: str, now: datetime) -> None:
    """Refuse who does not know the secret they have now."""
    place = f"old_{secret.value}"
    wrong: PlainError
    try:
        left = tries_left(session, queries.get_person(session, person_id), secret, old, now)
    except LockedError as locked:
        refuse([Problem(place, locked)])
        return
    if left is not None:
        wrong = WrongOldPasswordError(left) if secret is Secret.PASSWORD else WrongPinError(left)
        refuse([Problem(place, wrong)])
