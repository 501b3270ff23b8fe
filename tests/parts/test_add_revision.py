"""A new revision takes over blank, components and routing of the current one."""

import sqlalchemy as sa

from app.parts import queries
from app.parts.models import Component, OperationFile, Revision
from app.parts.services import NewRouting, save_routing
from app.shared.database import change_number
from tests.factories.parts import ComponentFactory, PartFactory, StoredFileFactory
from tests.parts.shop import blanks, milling

TYPED = {
    "label": "B",
    "material": "7075",
    "blank": "Sawn bar",
    "blank_source": "vendor",
    "blank_form": "piece",
    "pieces_per_unit": "1",
}


def with_routing(session, keys, revision, now):
    routing = save_routing(
        session, revision.id, NewRouting((blanks(keys), milling(keys)), base_version=0), by=None, now=now
    )
    session.add(OperationFile(routing_operation_id=routing.operations[1].id, file=StoredFileFactory(), title="Set-up"))
    ComponentFactory(revision_id=revision.id, part=PartFactory(number="PIN-1"), operation_number=20, per_piece=2)
    session.commit()
    return routing


def newest_revision(session) -> Revision:
    session.rollback()
    return session.scalars(sa.select(Revision).order_by(Revision.id.desc()).limit(1)).one()


def test_components_and_routing_come_along_and_the_new_one_is_current(as_owner, session, keys, revision, now):
    with_routing(session, keys, revision, now)
    response = as_owner.post(f"/parts/{revision.part_id}/revisions", data=TYPED)
    new = newest_revision(session)
    assert response.location == f"/parts/{revision.part_id}?revision={new.id}"
    assert (revision.current, new.current, new.label, new.material) == (False, True, "B", "7075")
    routing = queries.routing_of(session, new.id)
    assert routing.version == 1
    assert [(each.number, each.cycle_ms, each.lead_days) for each in routing.operations] == [
        (10, 0, 10),
        (20, 90_000, 0),
    ]
    assert [(each.part.number, each.operation_number, each.per_piece) for each in new.components] == [("PIN-1", 20, 2)]


def test_drawings_stay_behind_unless_they_are_asked_for(as_owner, session, keys, revision, now):
    with_routing(session, keys, revision, now)
    as_owner.post(f"/parts/{revision.part_id}/revisions", data=TYPED)
    assert queries.routing_of(session, newest_revision(session).id).operations[1].files == []
    session.rollback()
    as_owner.post(f"/parts/{revision.part_id}/revisions", data={**TYPED, "label": "C", "with_files": "y"})
    # The current revision is B by now, which has none: C takes over what B has.
    assert queries.routing_of(session, newest_revision(session).id).operations[1].files == []


def test_drawings_come_along_where_they_are_asked_for(as_owner, session, keys, revision, now):
    with_routing(session, keys, revision, now)
    as_owner.post(f"/parts/{revision.part_id}/revisions", data={**TYPED, "with_files": "y"})
    operation = queries.routing_of(session, newest_revision(session).id).operations[1]
    assert [file.title for file in operation.files] == ["Set-up"]


def test_a_part_without_a_routing_gets_a_revision_without_one(as_owner, session, revision):
    as_owner.post(f"/parts/{revision.part_id}/revisions", data=TYPED)
    assert queries.routing_of(session, newest_revision(session).id) is None


def test_planning_looks_again(as_owner, session, revision):
    before = change_number(session)
    as_owner.post(f"/parts/{revision.part_id}/revisions", data=TYPED)
    session.rollback()
    assert change_number(session) == before + 1


def test_the_form_shows_the_former_blank_and_asks_for_the_label(as_owner, revision):
    page = as_owner.get(f"/parts/{revision.part_id}/revisions/new").text
    assert 'value="6061-T6"' in page
    assert "revision A are taken over" in page


def test_a_label_that_is_taken_is_refused_beside_the_field(as_owner, session, revision):
    response = as_owner.post(f"/parts/{revision.part_id}/revisions", data={**TYPED, "label": "a"})
    assert response.status_code == 422
    assert f"{revision.part.number} already has a revision a." in response.text
    assert "7075" in response.text
    session.rollback()
    assert revision.current
    assert session.scalar(sa.select(sa.func.count()).select_from(Revision)) == 1


def test_a_missing_label_and_a_missing_part_are_said(as_owner, revision):
    assert (
        "Enter the revision on the drawing"
        in as_owner.post(f"/parts/{revision.part_id}/revisions", data={**TYPED, "label": ""}).text
    )
    assert as_owner.post("/parts/99/revisions", data=TYPED).status_code == 404


def test_operators_do_not_add_revisions(as_operator, session, revision):
    assert as_operator.get(f"/parts/{revision.part_id}/revisions/new").status_code == 403
    assert as_operator.post(f"/parts/{revision.part_id}/revisions", data=TYPED).status_code == 403
    assert session.scalars(sa.select(Component)).all() == []
