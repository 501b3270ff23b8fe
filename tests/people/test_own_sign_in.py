"""Changing one's own password and PIN."""

import pytest
from werkzeug.security import check_password_hash, generate_password_hash

from app.people.models import Person, Role
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory

RIGHT, PIN = "correct horse", "4711"


@pytest.fixture
def ada(session):
    ShopFactory()
    kept = {"password_hash": RIGHT, "pin_hash": PIN}
    hashes = {name: generate_password_hash(secret, method="scrypt:1024:8:1") for name, secret in kept.items()}
    return PersonFactory(name="Ada Quill", initials="AQ", roles=[Role.INSPECTOR], **hashes)


@pytest.fixture
def browsers(app, ada):
    """Return two browsers in which Ada is signed in."""
    both = app.test_client(), app.test_client()
    for browser in both:
        browser.post("/sign-in", data={"name": "AQ", "password": RIGHT})
        assert browser.get("/your-sign-in").status_code == 200
    return both


def change_password(browser, old=RIGHT, new="battery staple"):
    return browser.post("/your-sign-in/password", data={"old_password": old, "password": new})


def stored(session, ada) -> Person:
    session.rollback()
    return session.get_one(Person, ada.id)


def test_a_new_password_ends_the_other_sessions_and_keeps_this_one(browsers, session, ada):
    here, elsewhere = browsers
    assert change_password(here).location == "/your-sign-in"
    assert "Your password is changed." in here.get("/your-sign-in").text
    assert elsewhere.get("/your-sign-in").location == "/sign-in?to=/your-sign-in"
    assert check_password_hash(stored(session, ada).password_hash, "battery staple")


def test_a_password_that_an_owner_sets_ends_the_persons_sessions_and_not_the_owners(browsers, as_owner, ada):
    typed = {"name": "Ada Quill", "initials": "AQ", "roles": ["inspector"], "password": "battery staple"}
    assert as_owner.post(f"/people/{ada.id}", data=typed).status_code == 303
    assert [browser.get("/your-sign-in").status_code for browser in browsers] == [303, 303]
    own = {"name": "The Owner", "initials": "TO", "roles": ["owner"], "password": "battery staple"}
    assert as_owner.post(f"/people/{as_owner.person.id}", data=own).status_code == 303
    assert as_owner.get("/people").status_code == 200


def test_another_name_or_pin_ends_no_session(browsers, as_owner, ada):
    typed = {"name": "Ada Quill-Marsh", "initials": "AQ", "roles": ["inspector"], "pin": "8080"}
    as_owner.post(f"/people/{ada.id}", data=typed)
    assert browsers[0].get("/your-sign-in").status_code == 200


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("wrong", "battery staple", "That is not your password now. 4 more tries before"),
        (RIGHT, "short", "The password is too short."),
        ("", "battery staple", "Type the password you have now."),
    ],
)
def test_a_wrong_old_or_a_bad_new_password_changes_nothing(browsers, session, ada, old, new, sentence):
    answer = change_password(browsers[0], old, new)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert check_password_hash(stored(session, ada).password_hash, RIGHT)
    assert browsers[1].get("/your-sign-in").status_code == 200


def test_guessing_the_old_password_locks(browsers, session, ada):
    for _try in range(5):
        answer = change_password(browsers[0], old="wrong")
    assert "Locked" in answer.text or "locked" in answer.text
    assert change_password(browsers[0]).status_code == 422
    assert check_password_hash(stored(session, ada).password_hash, RIGHT)


@pytest.mark.parametrize(
    ("old", "new", "status"), [(PIN, "8080", 303), ("0000", "8080", 422), (PIN, "12", 422), ("", "8080", 422)]
)
def test_the_pin_changes_with_the_right_old_one_only(browsers, session, ada, old, new, status):
    answer = browsers[0].post("/your-sign-in/pin", data={"old_pin": old, "pin": new})
    assert answer.status_code == status
    assert check_password_hash(stored(session, ada).pin_hash, "8080" if status == 303 else PIN)


def test_without_a_pin_an_owner_sets_the_first(browsers, session, ada):
    stored(session, ada).pin_hash = ""
    session.commit()
    assert "An owner sets the first one" in browsers[0].get("/your-sign-in").text
    answer = browsers[0].post("/your-sign-in/pin", data={"old_pin": PIN, "pin": "8080"})
    assert (answer.status_code, stored(session, ada).pin_hash) == (422, "")
