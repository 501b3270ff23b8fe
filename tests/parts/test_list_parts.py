"""The list of parts, the chooser, and one part."""

from decimal import Decimal

import pytest

from app.parts import queries
from app.parts.services import NewRouting, save_routing
from tests.factories.parts import ComponentFactory, PartFactory, RevisionFactory
from tests.parts.shop import anodizing, blanks, milling, tumbling
from tests.statements import counted


def make_parts(count: int) -> None:
    for number in range(count):
        RevisionFactory(part=PartFactory(number=f"PL-{number:03}", name="Plate"))


def test_parts_are_listed_in_pages(as_operator, session):
    make_parts(53)
    first, second = as_operator.get("/parts").text, as_operator.get("/parts?page=2").text
    assert "53 parts" in first
    assert "PL-049" in first
    assert "PL-050" not in first
    assert "PL-052" in second
    assert "Page 2 of 2" in second


def test_parts_are_found_by_words_of_number_and_name(as_operator, session):
    make_parts(2)
    RevisionFactory(part=PartFactory(number="SHAFT-1", name="Long shaft, 100 % ground"))
    assert "SHAFT-1" in as_operator.get("/parts?q=ground+shaft").text
    assert "SHAFT-1" in as_operator.get("/parts?q=100+%25").text
    assert "PL-000" not in as_operator.get("/parts?q=ground+shaft").text
    nothing = as_operator.get("/parts?q=nothing<b>").text
    assert "No part has “nothing&lt;b&gt;” in its number or name." in nothing


def test_the_search_is_kept_from_page_to_page(as_operator, session):
    make_parts(60)
    assert "/parts?page=2&amp;q=plate" in as_operator.get("/parts?q=plate").text


def test_htmx_gets_the_found_parts_alone(as_operator, session):
    make_parts(1)
    response = as_operator.get("/parts?q=pl", headers={"HX-Request-Type": "partial"})
    assert response.text.lstrip().startswith('<div id="parts-found">')
    assert "<html" not in response.text


def test_an_empty_list_says_what_to_do_first(as_owner, as_operator):
    assert "Add the first part you make" in as_owner.get("/parts").text
    assert "The office adds them." in as_operator.get("/parts").text


def test_nobody_looks_without_signing_in(client):
    assert client.get("/parts").status_code == 303


def test_the_list_takes_the_same_statements_for_one_part_and_for_fifty(as_operator, session, engine, keys, now):
    def statements() -> int:
        with counted(engine) as sent:
            as_operator.get("/parts")
        return len(sent)

    part = RevisionFactory()
    save_routing(session, part.id, NewRouting((milling(keys),), 0), by=None, now=now)
    few = statements()
    make_parts(49)
    assert statements() == few


def test_the_chooser_offers_active_parts_with_the_nearest_number_first(as_operator, session):
    RevisionFactory(part=PartFactory(number="A-10", name="Cover for B-1"), label="C")
    RevisionFactory(part=PartFactory(number="B-1", name="Base"))
    PartFactory(number="B-11", name="Old base", active=False)
    found = as_operator.get("/parts/choices?part_number=b-1").text
    assert found.index('value="B-1"') < found.index('value="A-10"')
    assert "Cover for B-1, C" in found
    assert "B-11" not in found
    assert len(queries.find_parts(session, "", limit=1)) == 1


def test_a_part_is_found_by_its_number_whatever_its_capitals(session):
    RevisionFactory(part=PartFactory(number="Hb-1"), label="D")
    PartFactory(number="HB-1")
    assert queries.part_by_number(session, "HB-1").number == "HB-1"
    assert queries.part_by_number(session, "hb-1") is not None
    assert queries.part_by_number(session, "Hb-1").current_revision.label == "D"
    assert queries.part_by_number(session, "HB") is None


def test_the_current_revision_is_the_one_that_is_marked(session, revision):
    newer = RevisionFactory(part=revision.part, label="B", current=False)
    assert queries.current_revision(session, revision.part_id).id == revision.id
    assert queries.current_revision(session, 99) is None
    assert newer.id != revision.id


@pytest.fixture
def described(session, keys, revision, now):
    revision.piece_grams, revision.blank_grams, revision.pieces_per_unit = 100, 454, 1
    session.commit()
    operations = (
        blanks(keys),
        milling(keys, instructions="Deburr <first>"),
        tumbling(keys, batch_grams=22_680),
        anodizing(keys),
    )
    save_routing(session, revision.id, NewRouting(operations, 0), by=None, now=now)
    ComponentFactory(revision_id=revision.id, part=PartFactory(number="PIN-1"), operation_number=20, per_piece=2)
    return revision


def test_a_part_shows_its_blank_routing_and_components(as_operator, described):
    page = as_operator.get(f"/parts/{described.part_id}").text
    assert "1.00 lb" in page
    assert "1:30 a piece" in page
    assert "40:00 for a batch of at most 60 or 50.0 lb, fine" in page
    assert "99 % good" in page
    assert "7 days" in page
    assert "Deburr &lt;first&gt;" in page
    assert "PIN-1" in page
    assert "Edit the routing" not in page


def test_only_the_office_sees_what_a_blank_costs(as_owner, as_operator, session, revision):
    revision.blank_price = Decimal("6.4")
    session.commit()
    assert "6.40" in as_owner.get(f"/parts/{revision.part_id}").text
    assert "6.40" not in as_operator.get(f"/parts/{revision.part_id}").text


def test_a_part_takes_the_same_statements_whatever_its_history(as_operator, session, engine, keys, described, now):
    def statements() -> int:
        with counted(engine) as sent:
            as_operator.get(f"/parts/{part_id}")
        return len(sent)

    part_id, revision_id = described.part_id, described.id
    few = statements()
    for version in range(1, 6):
        operations = tuple(milling(keys, number=number + version) for number in range(20, 20 + 5 * version))
        described.components = []
        session.commit()
        save_routing(session, revision_id, NewRouting(operations, version), by=None, now=now)
        ComponentFactory(revision_id=revision_id, operation_number=20 + version)
        RevisionFactory(part=described.part, label=f"O{version}", current=False)
    assert statements() == few


def test_a_part_says_what_it_goes_into(as_operator, session, described):
    pin = queries.part_by_number(session, "PIN-1")
    page = as_operator.get(f"/parts/{pin.id}")
    assert page.status_code == 404  # it was made without a revision: nothing can be shown of it
    RevisionFactory(part=pin)
    page = as_operator.get(f"/parts/{pin.id}").text
    assert "Goes into" in page
    assert described.part.number in page
    assert "No routing yet." in page


def test_another_revision_of_a_part_is_shown_on_demand(as_owner, session, revision):
    older = RevisionFactory(part=revision.part, label="OLD", current=False, material="Brass")
    page = as_owner.get(f"/parts/{revision.part_id}?revision={older.id}").text
    assert "Brass" in page
    assert "Make OLD the current revision" in page
    assert "Brass" not in as_owner.get(f"/parts/{revision.part_id}").text
    assert as_owner.get(f"/parts/{revision.part_id}?revision=99").status_code == 404
    assert as_owner.get("/parts/99").status_code == 404
