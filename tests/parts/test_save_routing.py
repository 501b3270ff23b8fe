"""Saving a routing makes a new version; the earlier ones stay as they were."""

from dataclasses import replace

import pytest
import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries
from app.parts.errors import RoutingClashError, RoutingRefusedError
from app.parts.models import Component, OperationFile, Routing
from app.parts.services import NewRouting, save_routing
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory, StoredFileFactory
from tests.factories.people import PersonFactory
from tests.parts.shop import anodizing, blanks, milling
from tests.statements import counted


@pytest.fixture
def save(session, revision, now):
    def saved(*operations, base=0, note="", by=None) -> Routing:
        new = NewRouting(tuple(operations), base_version=base, note=note)
        return save_routing(session, revision.id, new, by=by, now=now)

    return saved


def versions(session, revision) -> list[list[tuple[int, str]]]:
    stored = session.scalars(sa.select(Routing).where(Routing.revision_id == revision.id).order_by(Routing.version))
    return [[(each.number, each.title) for each in routing.operations] for routing in stored]


def test_each_change_is_a_version_and_the_former_stays(session, save, keys, revision):
    person = PersonFactory(name="Ada Byron")
    save(milling(keys), note="first", by=person)
    save(milling(keys, title="Mill faster"), base=1, by=person)
    assert versions(session, revision) == [[(20, "Mill")], [(20, "Mill faster")]]
    listed = queries.routing_versions(session, revision.id)
    assert [(each.version, each.created_by, each.note) for each in listed] == [
        (2, "Ada Byron", ""),
        (1, "Ada Byron", "first"),
    ]


def test_what_is_not_changed_makes_no_version(session, save, keys, revision):
    first = save(blanks(keys), milling(keys))
    again = save(
        blanks(keys, source_id=first.operations[0].id), milling(keys, source_id=first.operations[1].id), base=1
    )
    assert again.version == 1
    assert len(versions(session, revision)) == 1


def test_a_version_that_came_between_is_not_overwritten(session, save, keys, revision):
    person = PersonFactory(name="Ada Byron")
    save(milling(keys), by=person)
    with pytest.raises(RoutingClashError, match=r"Ada Byron saved version 1 of this routing on Wed 7 Jan 15:00"):
        save(milling(keys, title="Other"), base=0)
    assert versions(session, revision) == [[(20, "Mill")]]


def test_a_clash_with_an_import_from_the_command_line_names_somebody(save, keys):
    save(milling(keys))
    with pytest.raises(RoutingClashError, match="Somebody saved version 1"):
        save(milling(keys, title="Other"), base=0)


def test_nothing_is_stored_where_a_rule_is_broken(session, save, keys, revision):
    with pytest.raises(RoutingRefusedError) as caught:
        save(milling(keys, number=20), milling(keys, number=10))
    assert [(problem.row, problem.about) for problem in caught.value.problems] == [(1, "number")]
    assert versions(session, revision) == []


def test_drawings_follow_their_operation_into_the_new_version(session, save, keys, revision):
    first = save(milling(keys), anodizing(keys))
    session.add(
        OperationFile(routing_operation_id=first.operations[0].id, file=StoredFileFactory(), title="Set-up", position=0)
    )
    session.commit()
    second = save(
        anodizing(keys, number=10, source_id=first.operations[1].id),
        milling(keys, number=30, source_id=first.operations[0].id),
        base=1,
    )
    assert [[file.title for file in operation.files] for operation in second.operations] == [[], ["Set-up"]]
    session.expire_all()
    assert [file.title for file in queries.routing_version(session, revision.id, 1).operations[0].files] == ["Set-up"]


def test_drawings_of_another_revision_are_not_taken_over(session, save, keys, revision, now):
    other = RevisionFactory()
    theirs = save_routing(session, other.id, NewRouting((milling(keys),), base_version=0), by=None, now=now)
    session.add(OperationFile(routing_operation_id=theirs.operations[0].id, file=StoredFileFactory(), title="Theirs"))
    session.commit()
    mine = save(milling(keys, source_id=theirs.operations[0].id))
    assert mine.operations[0].files == []


def test_components_follow_a_renumbered_operation(session, save, keys, revision):
    first = save(milling(keys, number=10), milling(keys, number=20))
    ComponentFactory(revision_id=revision.id, operation_number=20)
    sources = [operation.id for operation in first.operations]
    save(milling(keys, number=10, source_id=sources[0]), milling(keys, number=35, source_id=sources[1]), base=1)
    assert session.scalars(sa.select(Component.operation_number)).all() == [35]


def test_components_follow_two_operations_that_change_places(session, save, keys, revision):
    first = save(milling(keys, number=10, title="a"), milling(keys, number=20, title="b"))
    pin = PartFactory()
    for number, count in ((10, 1), (20, 4)):
        ComponentFactory(revision_id=revision.id, part=pin, operation_number=number, per_piece=count)
    ids = [operation.id for operation in first.operations]
    save(
        milling(keys, number=10, title="b", source_id=ids[1]),
        milling(keys, number=20, title="a", source_id=ids[0]),
        base=1,
    )
    found = session.execute(
        sa.select(Component.operation_number, Component.per_piece).order_by(Component.operation_number)
    )
    assert [tuple(row) for row in found] == [(10, 4), (20, 1)]


def test_an_operation_that_takes_components_is_not_dropped(session, save, keys, revision):
    save(milling(keys, number=10), milling(keys, number=20))
    ComponentFactory(revision_id=revision.id, part=PartFactory(number="PIN-1"), operation_number=20)
    with pytest.raises(RoutingRefusedError, match=r"missing here: PIN-1 \(20\)"):
        save(milling(keys, number=10), base=1)
    assert len(versions(session, revision)) == 1


def test_a_routing_is_read_in_the_same_statements_whatever_its_length(session, engine, save, keys, revision):
    revision_id = revision.id

    def statements() -> int:
        session.rollback()
        with counted(engine) as sent:
            for operation in queries.routing_of(session, revision_id).operations:
                assert operation.kind.name
                assert operation.work_center.name
                assert [file.file.pages for file in operation.files] == []
        return len(sent)

    save(milling(keys))
    few = statements()
    save(*(milling(keys, number=number) for number in range(1, 40)), base=1)
    assert statements() == few <= 4


def test_the_operations_of_an_earlier_version_lead_to_those_that_follow(session, save, keys, revision):
    first = save(milling(keys, number=10), milling(keys, number=20))
    second = save(milling(keys, number=20), milling(keys, number=30), base=1)
    found = queries.following_operations(session, revision.id, [each.id for each in first.operations])
    assert found == {first.operations[1].id: second.operations[0].id}


def test_two_savings_at_once_make_one_version_and_one_clash(app, session, keys, revision, now):
    new = NewRouting((milling(keys),), base_version=0)
    save_routing(session, revision.id, new, by=None, now=now)
    with orm.Session(app.extensions["lotwright_engine"]) as other, pytest.raises(RoutingClashError):
        save_routing(other, revision.id, replace(new, operations=(milling(keys, title="x"),)), by=None, now=now)
