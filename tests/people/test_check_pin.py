"""A badge and its PIN, as the stations ask for them."""

import threading
from datetime import timedelta

import pytest
import sqlalchemy as sa
from sqlalchemy import orm
from werkzeug.security import generate_password_hash

from app.people.errors import LockedError, NoPinError, UnknownBadgeError, WrongPasswordError, WrongPinError
from app.people.models import SignInAttempt
from app.people.services import LOCK_FOR, check_password, check_pin
from tests.factories.people import PersonFactory

PIN = generate_password_hash("7305", method="scrypt:1024:8:1")


@pytest.fixture
def bo(session):
    return PersonFactory(name="Bo Reed", badge_number=314159, pin_hash=PIN)


def fail(session, now, times: int) -> None:
    for _ in range(times):
        with pytest.raises((WrongPinError, LockedError)):
            check_pin(session, 314159, "0000", now)


def test_the_badge_and_its_pin_give_the_person(session, bo, now):
    assert check_pin(session, 314159, "7305", now).name == "Bo Reed"
    assert session.scalars(sa.select(SignInAttempt.secret)).all() == ["pin"]


def test_a_wrong_pin_says_how_many_tries_are_left(session, bo, now):
    left = []
    for _ in range(4):
        with pytest.raises(WrongPinError) as refusal:
            check_pin(session, 314159, "0000", now)
        left.append(refusal.value.tries_left)
    assert left == [4, 3, 2, 1]
    assert str(refusal.value) == "That PIN is not right. One more try before five minutes' wait."


def test_the_fifth_wrong_pin_locks_for_five_minutes_even_for_the_right_one(session, bo, now):
    fail(session, now, 4)
    with pytest.raises(LockedError) as refusal:
        check_pin(session, 314159, "0000", now)
    assert refusal.value.until == now + LOCK_FOR == now + timedelta(minutes=5)
    with pytest.raises(LockedError):
        check_pin(session, 314159, "7305", now + timedelta(minutes=4))
    assert check_pin(session, 314159, "7305", now + timedelta(minutes=5)).id == bo.id


def test_a_pin_typed_right_does_not_forgive_wrong_passwords(session, bo, now):
    for _ in range(4):
        with pytest.raises(WrongPasswordError):
            check_password(session, "Bo Reed", "guess", now)
    check_pin(session, 314159, "7305", now)
    with pytest.raises(LockedError):
        check_password(session, "Bo Reed", "guess", now)


def test_an_unknown_badge_is_refused(session, bo, now):
    with pytest.raises(UnknownBadgeError, match="belongs to nobody here now"):
        check_pin(session, 271828, "7305", now)


def test_the_badge_of_somebody_who_left_is_refused(session, bo, now):
    bo.active = False
    session.commit()
    with pytest.raises(UnknownBadgeError):
        check_pin(session, 314159, "7305", now)


def test_a_person_without_a_pin_is_told_who_sets_one(session, now):
    PersonFactory(name="New Hand", badge_number=100007)
    with pytest.raises(NoPinError, match="New Hand has no PIN yet"):
        check_pin(session, 100007, "1234", now)


def test_tries_at_the_same_time_are_no_way_round_the_lock(engine, session, bo, now):
    outcomes: list[type] = []

    def guess() -> None:
        with orm.Session(engine) as own:
            try:
                check_pin(own, 314159, "0000", now)
            except (WrongPinError, LockedError) as error:
                outcomes.append(type(error))

    guessers = [threading.Thread(target=guess) for _ in range(12)]
    for guesser in guessers:
        guesser.start()
    for guesser in guessers:
        guesser.join()
    assert sorted(kind.__name__ for kind in outcomes) == ["LockedError"] * 8 + ["WrongPinError"] * 4
    assert session.scalar(sa.select(sa.func.count(SignInAttempt.id))) == 5
