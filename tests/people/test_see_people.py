"""The list of people and the badge sheet: who sees what, and at what cost."""

import pytest

from app.core.scan_code import CodeKind, format_code
from app.people import queries
from app.people.models import Role
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted

CHANGES = ["/people", "/people/1", "/people/1/deactivate", "/people/1/activate", "/people/1/badge", "/people/1/unlock"]


@pytest.mark.parametrize("who", ["as_setup_lead", "as_operator", "as_inspector"])
def test_only_an_owner_changes_people(request, who):
    browser = request.getfixturevalue(who)
    assert browser.get("/people").status_code == 200
    assert "Add a person" not in browser.get("/people").text
    assert [browser.post(path).status_code for path in CHANGES] == [403] * len(CHANGES)
    assert browser.get("/people/new").status_code == 403
    assert browser.get("/people/1/edit").status_code == 403


def test_badges_are_for_the_office(as_setup_lead, as_operator):
    assert as_setup_lead.get("/people/badges").status_code == 200
    assert as_operator.get("/people/badges").status_code == 403


def test_the_list_shows_roles_and_state_the_active_first(as_owner):
    PersonFactory(name="Zoe Active", roles=[Role.SETUP_LEAD, Role.INSPECTOR])
    PersonFactory(name="Abe Gone", active=False)
    page = as_owner.get("/people").text
    assert page.index("Zoe Active") < page.index("Abe Gone")
    assert "Setup lead, Inspector" in page
    assert "Not active" in page


def test_one_person_alone_is_told_what_to_do_next(as_owner):
    assert "You are the only person here so far." in as_owner.get("/people").text


def test_the_list_takes_the_same_statements_for_one_person_and_for_a_hundred(engine, as_owner):
    ShopFactory()
    with counted(engine) as few:
        as_owner.get("/people")
    PersonFactory.create_batch(100)
    with counted(engine) as many:
        as_owner.get("/people")
    assert len(many) == len(few) == 5  # the shop, who is signed in, the count, the rows and their roles
    assert "Page 1 of 3" in as_owner.get("/people").text


def test_a_page_beyond_the_end_shows_the_last(as_owner):
    assert as_owner.get("/people?page=9").status_code == 200


def test_each_badge_has_the_code_as_bars_as_qr_and_as_text(as_setup_lead, session):
    bo = PersonFactory(name="Bo Reed", badge_number=314159, roles=[Role.OPERATOR])
    PersonFactory(name="Gone", active=False)
    page = as_setup_lead.get("/people/badges").text
    code = format_code(CodeKind.BADGE, 314159)
    assert page.count(code) >= 3
    assert page.count("cut-card__codes") == 2  # Bo and the setup lead
    assert "Gone" not in page
    assert "shape-rendering" not in page
    one = as_setup_lead.get(f"/people/badges?person={bo.id}").text
    assert one.count("cut-card__codes") == 1


def test_people_can_be_chosen_by_role(session):
    lead = PersonFactory(roles=[Role.SETUP_LEAD])
    operator = PersonFactory(roles=[Role.OPERATOR])
    PersonFactory(roles=[Role.OPERATOR], active=False)
    assert queries.active_people(session) == [lead, operator]
    assert queries.active_people(session, Role.SETUP_LEAD, Role.OWNER) == [lead]
