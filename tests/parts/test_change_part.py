"""A part's number, name and whether it is offered."""

import pytest

from tests.factories.parts import PartFactory, RevisionFactory


def test_a_part_is_changed_and_no_longer_offered(as_owner, session, revision):
    part = revision.part
    response = as_owner.post(f"/parts/{part.id}", data={"number": "HB-9", "name": "Hinge"})
    session.rollback()
    assert response.status_code == 303
    assert (part.number, part.name, part.active) == ("HB-9", "Hinge", False)


def test_its_own_number_in_other_capitals_is_no_clash(as_owner, session, revision):
    part = revision.part
    data = {"number": part.number.lower(), "name": "Hinge", "active": "y"}
    assert as_owner.post(f"/parts/{part.id}", data=data).status_code == 303


def test_another_parts_number_is_refused_beside_the_field(as_owner, session, revision):
    PartFactory(number="HB-8")
    response = as_owner.post(f"/parts/{revision.part_id}", data={"number": "HB-8", "name": "Typed name"})
    assert response.status_code == 422
    assert "There is already a part HB-8." in response.text
    assert "Typed name" in response.text
    session.rollback()
    assert revision.part.name == "Hinge block"


def test_the_form_shows_what_is_stored(as_owner, revision):
    page = as_owner.get(f"/parts/{revision.part_id}/edit").text
    assert f'value="{revision.part.number}"' in page
    assert 'value="Hinge block"' in page


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_part_that_is_not_there_is_said_so(as_owner, method):
    path = "/parts/99/edit" if method == "get" else "/parts/99"
    response = getattr(as_owner, method)(path, **({"data": {"number": "A", "name": "B"}} if method == "post" else {}))
    assert response.status_code == 404
    assert "There is no such part." in response.text


def test_operators_look_but_do_not_change(as_operator, session, revision):
    assert as_operator.get(f"/parts/{revision.part_id}").status_code == 200
    assert as_operator.get(f"/parts/{revision.part_id}/edit").status_code == 403
    assert as_operator.post(f"/parts/{revision.part_id}", data={"number": "A", "name": "B"}).status_code == 403


def test_only_one_revision_is_current_after_the_current_one_is_chosen(as_owner, session, revision):
    older = RevisionFactory(part=revision.part, label="0", current=False)
    response = as_owner.post(f"/parts/revisions/{older.id}/current")
    session.rollback()
    assert response.location == f"/parts/{revision.part_id}?revision={older.id}"
    assert (revision.current, older.current) == (False, True)
