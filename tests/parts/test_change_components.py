"""What goes into a part, and what is refused."""

import pytest
import sqlalchemy as sa

from app.parts.models import Component
from app.parts.services import NewRouting, save_routing
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory
from tests.parts.shop import blanks, milling


@pytest.fixture
def lever(session, keys, revision, now):
    """Return a revision with operations 10 and 20."""
    save_routing(session, revision.id, NewRouting((blanks(keys), milling(keys)), 0), by=None, now=now)
    revision.part.number = "LEVER"
    session.commit()
    return revision


@pytest.fixture
def path(lever):
    return f"/parts/revisions/{lever.id}/components"


def fitted(session) -> list[tuple[str, int, int]]:
    session.rollback()
    return [(each.part.number, each.per_piece, each.operation_number) for each in session.scalars(sa.select(Component))]


def typed(number: str = "pin-1", per_piece: str = "2", operation: str = "20") -> dict[str, str]:
    return {"part_number": number, "per_piece": per_piece, "operation_number": operation}


def test_a_component_is_added_and_removed(as_setup_lead, session, path):
    PartFactory(number="PIN-1")
    response = as_setup_lead.post(path, data=typed())
    assert response.location == path
    assert fitted(session) == [("PIN-1", 2, 20)]
    assert "PIN-1" in as_setup_lead.get(path).text
    component = session.scalars(sa.select(Component.id)).one()
    assert as_setup_lead.post(f"/parts/components/{component}/remove").location == path
    assert fitted(session) == []
    gone = as_setup_lead.post(f"/parts/components/{component}/remove")
    assert gone.status_code == 404
    assert "has been removed already" in gone.text


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (typed(number=""), "Enter the number of the part that goes in."),
        (typed(number="NONE"), "There is no part NONE. Check the number, or add the part first."),
        (typed(number="lever"), "A part cannot be a component of itself."),
        (typed(per_piece="0"), "It must be 1 or more."),
        (typed(per_piece=""), "Enter how many go into one piece."),
        (typed(operation="30"), "Not a valid choice."),
    ],
)
def test_what_is_wrong_is_said_beside_its_field(as_owner, session, path, wrong, says):
    PartFactory(number="PIN-1")
    response = as_owner.post(path, data=wrong)
    assert response.status_code == 422
    assert says in response.text
    assert fitted(session) == []


def test_the_same_part_twice_at_one_operation_is_refused(as_owner, session, lever, path):
    pin = PartFactory(number="PIN-1")
    ComponentFactory(revision_id=lever.id, part=pin, operation_number=20)
    response = as_owner.post(path, data=typed())
    assert "Operation 20 already takes PIN-1. Remove it first to change how many." in response.text
    assert as_owner.post(path, data=typed(operation="10")).status_code == 303


def test_a_circle_through_other_parts_is_refused_with_its_way(as_owner, session, lever, path):
    arm, frame = PartFactory(number="ARM"), PartFactory(number="FRAME")
    ComponentFactory(revision_id=RevisionFactory(part=arm).id, part=lever.part)
    ComponentFactory(revision_id=RevisionFactory(part=frame).id, part=arm)
    response = as_owner.post(path, data=typed(number="FRAME"))
    assert response.status_code == 422
    assert "That would go round in a circle, each into the next: FRAME → LEVER → ARM → FRAME." in response.text
    assert len(fitted(session)) == 2


def test_a_circle_through_an_earlier_revision_counts_too(as_owner, session, lever, path):
    arm = PartFactory(number="ARM")
    ComponentFactory(revision_id=RevisionFactory(part=arm, current=False).id, part=lever.part)
    assert "in a circle" in as_owner.post(path, data=typed(number="ARM")).text


def test_one_part_in_two_others_is_no_circle(as_owner, session, lever, path):
    pin, arm = PartFactory(number="PIN-1"), PartFactory(number="ARM")
    ComponentFactory(revision_id=RevisionFactory(part=arm).id, part=pin)
    ComponentFactory(revision_id=lever.id, part=arm)
    assert as_owner.post(path, data=typed()).status_code == 303


def test_without_a_routing_the_page_says_what_comes_first(as_owner, session):
    bare = RevisionFactory()
    path = f"/parts/revisions/{bare.id}/components"
    PartFactory(number="PIN-1")
    assert "so the routing comes first" in as_owner.get(path).text
    assert as_owner.post(path, data=typed()).status_code == 422
    assert fitted(session) == []


def test_operators_look_but_do_not_change(as_operator, session, lever, path):
    component = ComponentFactory(revision_id=lever.id, part=PartFactory(number="PIN-1"), operation_number=20)
    page = as_operator.get(path).text
    assert "PIN-1" in page
    assert "Add a component" not in page
    assert as_operator.post(path, data=typed()).status_code == 403
    assert as_operator.post(f"/parts/components/{component.id}/remove").status_code == 403
    assert len(fitted(session)) == 1
