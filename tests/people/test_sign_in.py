"""Signing in to the office, and out of it."""

from datetime import timedelta

import pytest
import sqlalchemy as sa
from werkzeug.security import generate_password_hash

from app.people.models import Role, SignInAttempt
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory

# Few rounds, so that tests are quick; check_password_hash reads the rounds from the hash.
RIGHT = "correct horse"
HASH = generate_password_hash(RIGHT, method="scrypt:1024:8:1")


@pytest.fixture
def ada(session):
    ShopFactory()
    return PersonFactory(name="Ada Quill", initials="AQ", roles=[Role.OWNER], password_hash=HASH)


def sign_in(client, name="Ada Quill", password=RIGHT, to=""):
    return client.post("/sign-in", data={"name": name, "password": password, "to": to})


def attempts(session):
    session.rollback()
    return list(session.scalars(sa.select(SignInAttempt.succeeded).order_by(SignInAttempt.id)))


@pytest.mark.parametrize("name", ["Ada Quill", "ada  quill ", "aq"])
def test_name_or_initials_and_password_sign_a_person_in(client, ada, session, name):
    response = sign_in(client, name, to="/people?page=1")
    assert (response.status_code, response.location) == (303, "/people?page=1")
    assert client.get("/people").status_code == 200
    assert attempts(session) == [True]


@pytest.mark.parametrize(
    "elsewhere",
    ["https://example.org/", "//example.org", "/\\example.org", "/\t/example.org", "people", "", "javascript:alert(1)"],
)
def test_only_a_path_of_ours_is_gone_on_to(client, ada, elsewhere):
    assert sign_in(client, to=elsewhere).location == "/"


def test_the_page_keeps_where_to_go_on(client, ada):
    asked = client.get("/people")
    assert asked.location == "/sign-in?to=/people"
    assert 'value="/people"' in client.get(asked.location).text


def test_a_wrong_password_and_an_unknown_name_get_the_same_answer_and_the_name_stays(client, ada, session):
    wrong, unknown = sign_in(client, password="wrong"), sign_in(client, name="Bo Nobody")
    assert wrong.status_code == unknown.status_code == 422
    for answer, name in ((wrong, "Ada Quill"), (unknown, "Bo Nobody")):
        assert "The name or the password is not right." in answer.text
        assert f'value="{name}"' in answer.text
    assert attempts(session) == [False]
    assert client.get("/people").status_code == 303


def test_somebody_without_a_password_or_not_active_cannot_sign_in(client, ada):
    PersonFactory(name="Floor Only")
    PersonFactory(name="Gone", password_hash=HASH, active=False)
    assert sign_in(client, "Floor Only", "").status_code == 422
    assert "is not right" in sign_in(client, "Floor Only", "0").text
    assert "is not right" in sign_in(client, "Gone").text


def test_both_fields_are_asked_for_beside_them(client, ada):
    page = client.post("/sign-in", data={"name": "", "password": ""}).text
    assert "Enter your name or your initials." in page
    assert "Enter your password." in page


def test_five_failures_in_a_row_lock_the_person_and_say_until_when(client, ada, session, clock):
    for _ in range(4):
        assert "is not right" in sign_in(client, password="wrong").text
    fifth = sign_in(client, password="wrong")
    assert "Ada Quill is locked until 09:05" in fifth.text  # the shop is in Chicago, the clock at 15:00 UTC
    clock.forward(minutes=4, seconds=59)
    assert "locked until 09:05" in sign_in(client).text
    assert attempts(session) == [False] * 5
    clock.forward(seconds=1)
    assert sign_in(client).status_code == 303


def test_after_a_lock_there_are_five_tries_again(client, ada, clock):
    for _ in range(5):
        sign_in(client, password="wrong")
    clock.forward(minutes=5)
    for _ in range(4):
        assert "is not right" in sign_in(client, password="wrong").text
    assert sign_in(client).status_code == 303


def test_a_success_forgives_the_failures_before_it(client, ada):
    for _ in range(2):
        for _ in range(4):
            sign_in(client, password="wrong")
        assert sign_in(client).status_code == 303


def test_the_lock_is_on_the_person_whatever_browser_tries(app, client, ada, session):
    PersonFactory(name="Bo Reed", roles=[Role.OWNER], password_hash=HASH)
    for _ in range(5):
        sign_in(app.test_client(), password="wrong")
    assert "locked" in sign_in(client).text
    assert sign_in(client, "Bo Reed").status_code == 303


def test_an_owner_unlocks_before_the_time(as_owner, client, ada, session, clock):
    for _ in range(5):
        sign_in(client, password="wrong")
    assert "Locked until 09:05" in as_owner.get(f"/people/{ada.id}/edit").text
    clock.forward(minutes=1)
    assert as_owner.post(f"/people/{ada.id}/unlock").status_code == 303
    assert "is not right" in sign_in(client, password="wrong").text
    assert sign_in(client).status_code == 303


@pytest.mark.parametrize("address", ["/people", "/static/icon.svg"])
def test_an_answer_that_changes_nothing_cannot_undo_a_sign_in_made_meanwhile(client, ada, address):
    """Found in a busy browser: what a page had asked for came after the sign-in, with the cookie of before it."""
    assert "Set-Cookie" in sign_in(client).headers
    with client.get(address) as answer:
        assert "Set-Cookie" not in answer.headers


def test_signing_out_ends_the_sign_in(as_owner, session):
    ShopFactory()
    assert as_owner.get("/people").status_code == 200
    assert as_owner.post("/sign-out").location == "/sign-in"
    assert as_owner.get("/people").status_code == 303


def test_a_deactivated_person_is_signed_out_everywhere(client, ada, session):
    sign_in(client)
    ada.active = False
    session.commit()
    assert client.get("/people").status_code == 303


def test_the_clock_of_an_attempt_is_the_apps(client, ada, session, clock):
    clock.forward(hours=2)
    sign_in(client)
    session.rollback()
    assert session.scalars(sa.select(SignInAttempt.at)).one() == clock.now
    assert clock.now - timedelta(hours=2) == type(clock)().now
