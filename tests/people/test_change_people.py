"""Adding, changing and deactivating people."""

import itertools

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code, parse_code
from app.people import queries
from app.people.models import Person, Role
from app.people.services import NewPerson, add_person, check_password, check_pin, renew_badge
from app.shared.errors import RefusedError
from tests.factories.people import PersonFactory

TYPED = {"name": "Cleo Marsh", "initials": "cm", "roles": ["operator", "inspector"], "password": "", "pin": "7305"}


def stored(session, name="Cleo Marsh"):
    session.rollback()
    return session.scalars(sa.select(Person).where(Person.name == name)).one_or_none()


def test_a_person_is_added_with_roles_pin_and_a_badge_number(as_owner, session, now):
    response = as_owner.post("/people", data=TYPED)
    assert (response.status_code, response.location) == (303, "/people")
    cleo = stored(session)
    assert (cleo.initials, cleo.roles) == ("CM", {Role.OPERATOR, Role.INSPECTOR})
    assert check_pin(session, cleo.badge_number, "7305", now).id == cleo.id
    assert "7305" not in cleo.pin_hash
    assert cleo.pin_hash.startswith("scrypt:")


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"name": "  "}, "Enter the person's name."),
        ({"name": "x" * 81}, "Use 80 characters or fewer."),
        ({"initials": ""}, "Enter one to four letters."),
        ({"initials": "ABCDE"}, "Use four letters or fewer."),
        ({"roles": []}, "Choose at least one role."),
        ({"password": "short"}, "The password is too short. Use 8 characters or more; a few words do."),
        ({"roles": ["owner"]}, "An owner needs a password for the office. Type one."),
        ({"pin": "12"}, "A PIN is 4 to 8 digits, such as 7305."),
        ({"pin": "12a4"}, "A PIN is 4 to 8 digits, such as 7305."),
        ({"name": "ada quill"}, "There is already a person called Ada Quill."),
        ({"initials": "aq"}, "Ada Quill already signs with AQ. Choose other initials."),
        ({"name": "Gone"}, "Gone is on the list, not active. Make that person active again instead."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field_and_nothing_is_stored(as_owner, session, wrong, message):
    PersonFactory(name="Ada Quill", initials="AQ")
    PersonFactory(name="Gone", initials="GO", active=False)
    before = session.scalar(sa.select(sa.func.count(Person.id)))
    response = as_owner.post("/people", data={**TYPED, **wrong})
    assert response.status_code == 422
    assert message in response.text
    session.rollback()
    assert session.scalar(sa.select(sa.func.count(Person.id))) == before


def test_all_that_is_wrong_is_said_at_once(as_owner, session):
    PersonFactory(name="Ada Quill", initials="AQ")
    page = as_owner.post("/people", data={**TYPED, "initials": "aq", "roles": [], "pin": "1", "password": "x"}).text
    for message in ("already signs with AQ", "at least one role", "A PIN is 4 to 8", "password is too short"):
        assert message in page


def test_what_was_typed_stays_except_secrets(as_owner, session):
    page = as_owner.post("/people", data={**TYPED, "pin": "12"}).text
    assert 'value="Cleo Marsh"' in page
    assert 'value="12"' not in page
    assert page.count("checked") == 2


def test_a_role_nobody_knows_is_refused(as_owner, session):
    assert as_owner.post("/people", data={**TYPED, "roles": ["king"]}).status_code == 422
    assert stored(session) is None


def test_empty_secrets_keep_the_present_ones(as_owner, session, now):
    as_owner.post("/people", data={**TYPED, "password": "four plain words"})
    cleo = stored(session)
    as_owner.post(f"/people/{cleo.id}", data={**TYPED, "name": "Cleo Marsh-Bell", "pin": "", "roles": ["setup lead"]})
    cleo = stored(session, "Cleo Marsh-Bell")
    assert cleo.roles == {Role.SETUP_LEAD}
    assert check_pin(session, cleo.badge_number, "7305", now).id == cleo.id
    assert check_password(session, "Cleo Marsh-Bell", "four plain words", now).id == cleo.id


def test_a_change_is_refused_beside_the_field_and_nothing_is_stored(as_owner, session):
    PersonFactory(name="Ada Quill", initials="AQ")
    cleo = PersonFactory(name="Cleo Marsh", initials="CM")
    response = as_owner.post(f"/people/{cleo.id}", data={**TYPED, "initials": "AQ"})
    assert response.status_code == 422
    assert "Ada Quill already signs with AQ" in response.text
    assert stored(session).initials == "CM"


def test_the_last_active_owner_keeps_the_role_and_stays_active(as_owner, session):
    owner = as_owner.person
    PersonFactory(roles=[Role.OWNER], active=False)
    only = f"{owner.name} is the only active owner and has to stay one. Make another person an owner first."
    typed = {"name": owner.name, "initials": owner.initials, "roles": ["operator"]}
    for path, data in ((f"/people/{owner.id}", typed), (f"/people/{owner.id}/deactivate", {})):
        response = as_owner.post(path, data=data)
        assert response.status_code == 422
        assert only in response.text
    kept = stored(session, owner.name)
    assert kept.active
    assert kept.roles == {Role.OWNER}


def test_one_of_two_owners_can_go(as_owner, session):
    other = PersonFactory(name="Bo Reed", roles=[Role.OWNER])
    assert as_owner.post(f"/people/{other.id}/deactivate").status_code == 303
    assert stored(session, "Bo Reed").active is False
    assert as_owner.post(f"/people/{other.id}/activate").status_code == 303
    assert stored(session, "Bo Reed").active is True


def test_a_person_who_becomes_owner_needs_a_password(as_owner, session):
    bo = PersonFactory(name="Bo Reed", initials="BR")
    typed = {"name": "Bo Reed", "initials": "BR", "roles": ["owner"]}
    assert "An owner needs a password" in as_owner.post(f"/people/{bo.id}", data=typed).text
    assert as_owner.post(f"/people/{bo.id}", data={**typed, "password": "four plain words"}).status_code == 303


def test_a_new_badge_number_makes_the_old_badge_useless(as_owner, session):
    bo = PersonFactory(name="Bo Reed", badge_number=314159)
    response = as_owner.post(f"/people/{bo.id}/badge")
    assert response.location == f"/people/badges?person={bo.id}"
    badge = stored(session, "Bo Reed").badge_number
    assert badge != 314159
    assert format_code(CodeKind.BADGE, badge) in as_owner.get(response.location).text


def test_a_number_somebody_wears_is_not_given_twice(session):
    PersonFactory(badge_number=500_001)
    drawn = itertools.chain([500_000, 500_000], itertools.count(600_000))
    person = add_person(session, NewPerson("Cleo", "C", frozenset({Role.OPERATOR})), lambda _below: next(drawn))
    assert person.badge_code.startswith("B6000")
    assert next(drawn) == 600_001


def test_numbers_whose_check_character_would_be_a_star_are_skipped(session):
    """Draw every start in a stretch: each number given has a code that can be printed."""
    person = PersonFactory()
    starts = itertools.count(200_000)
    for _ in range(80):
        code = renew_badge(session, person.id, lambda _below: next(starts)).badge_code
        assert str(parse_code(code)) == code
    assert next(starts) > 200_080  # some starts led to a number that was worn already


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"name": ""}, "A name has 1 to 80 characters."),
        ({"initials": "TOOLONG"}, "Initials have 1 to 4 letters."),
    ],
)
def test_the_service_itself_refuses_what_a_command_may_pass(session, wrong, message):
    with pytest.raises(RefusedError, match=message):
        add_person(session, NewPerson(**{"name": "Cleo", "initials": "C", "roles": frozenset(Role), **wrong}))


def test_an_owner_without_a_password_is_refused_by_the_service_too(session):
    with pytest.raises(RefusedError, match="An owner needs a password"):
        add_person(session, NewPerson("Cleo", "C", frozenset({Role.OWNER})))
    assert queries.has_owner(session) is False


@pytest.mark.parametrize("path", ["/people/99/edit", "/people/99/deactivate", "/people/99/badge", "/people/99"])
def test_nobody_is_at_an_unknown_address(as_owner, path):
    answer = as_owner.get(path) if path.endswith("edit") else as_owner.post(path, data=TYPED)
    assert answer.status_code == 404
    assert "There is no such person." in answer.text
