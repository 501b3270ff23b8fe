"""The page that changes a lot, what the lot's page and traveler say of it, and what an older print's codes answer."""

import pytest
import sqlalchemy as sa

from app.lots.models import Lot, LotOperation, TravelerPrint
from app.lots.queries import lot_name
from app.lots.queries.names import operation_code
from tests.factories.lots import make_lot, make_ordered_lot, make_routing, station_of, whereabouts
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory, StationFactory
from tests.floor.conftest import words


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def lot(session) -> Lot:
    return make_ordered_lot(session, pieces=20)


def change(as_owner, session, lot, name, **typed):
    """Send one of the page's forms."""
    session.commit()
    fields = {f"{name}-{field}": str(value) for field, value in {"reason": "as agreed", **typed}.items()}
    answer = as_owner.post(f"/lots/{lot.id}/changes/{name}", data=fields)
    session.rollback()
    return answer


def titles(lot: Lot) -> list[str]:
    return [f"{each.number} {each.title}" for each in lot.operations if not each.skipped]


def test_each_way_to_change_a_lot_works_from_the_page(as_owner, session, lot):
    first, second, third = lot.operations
    StationFactory(work_center=third.work_center, name="Spare")
    page = as_owner.get(f"/lots/{lot.id}/changes").text
    assert "Its operations are as they were released." in page
    added = {
        "after_id": first.id,
        "title": "Polish",
        "kind_id": first.kind_id,
        "work_center_id": first.work_center_id,
        "setup_minutes": 5,
        "cycle_seconds": 40,
    }
    assert change(as_owner, session, lot, "add", **added).status_code == 303
    polish = lot.operations[1]
    assert (polish.setup_seconds, polish.cycle_ms) == (300, 40_000)
    change(as_owner, session, lot, "skip", operation_id=second.id)
    assert titles(lot) == ["10 Step 1", "15 Polish", "30 Step 3"]
    change(as_owner, session, lot, "want", operation_id=second.id)
    change(as_owner, session, lot, "move", operation_id=polish.id, after_id=third.id)
    assert titles(lot) == ["10 Step 1", "20 Step 2", "30 Step 3", "40 Polish"]
    station = station_of(second)
    change(as_owner, session, lot, "way", operation_id=third.id, stations=2, ahead=5)
    assert (third.split_over, third.send_ahead) == (2, 5)
    assert "split over 2 stations, 5 pieces go ahead at a time" in as_owner.get(f"/lots/{lot.id}").text
    change(as_owner, session, lot, "send", where=f"{second.id}-{station.id}")
    assert second.sent_to_station_id == station.id
    change(as_owner, session, lot, "way", operation_id=third.id, stations=2, ahead=5)
    assert (third.split_over, third.send_ahead) == (2, 5)
    assert "split over 2 stations, 5 pieces go ahead at a time" in as_owner.get(f"/lots/{lot.id}").text
    change(as_owner, session, lot, "send", where=f"{second.id}-0")
    assert second.sent_to_station_id is None
    page = words(as_owner.get(f"/lots/{lot.id}").text)
    assert "op 15 Polish moved, now op 40 . as agreed" in page


def test_another_revision_says_which_deliveries_ask_for_the_old_one(as_owner, session, lot):
    newer = RevisionFactory(part=lot.revision.part, label="B")
    make_routing(operations=4, revision=newer)
    second = lot.operations[1]
    assert change(as_owner, session, lot, "revision", revision_id=newer.id, operation_id=second.id).status_code == 303
    page = words(as_owner.get(f"/lots/{lot.id}").text)
    assert "asks for revision A, and the lot is made to B" in page
    assert titles(lot)[-1] == "40 Step 4"
    removed = words(as_owner.get(f"/c/{operation_code(session.get_one(LotOperation, second.id))}").text)
    assert "This operation was removed when lot" in removed


def test_a_joined_lot_says_into_which(as_owner, session):
    routing = make_routing()
    lot, joined = (make_lot(session, pieces=5, routing=routing) for _ in range(2))
    assert lot_name(joined) in as_owner.get(f"/lots/{lot.id}/changes").text
    assert change(as_owner, session, lot, "join", joined_id=joined.id).status_code == 303
    assert whereabouts(lot) == {"10 waiting": 10}
    page = words(as_owner.get(f"/lots/{joined.id}").text)
    assert f"Joined into lot {lot_name(lot)}" in page
    assert "The lot is finished" in as_owner.get(f"/lots/{joined.id}/changes").text


def test_what_is_wrong_stands_beside_the_field_and_nothing_typed_is_lost(as_owner, session, lot):
    answer = change(as_owner, session, lot, "skip", operation_id=lot.operations[1].id, reason="")
    assert answer.status_code == 422
    assert "Say why" in answer.text
    typed = {"after_id": lot.operations[0].id, "title": "Polish twice", "kind_id": lot.operations[0].kind_id}
    answer = change(as_owner, session, lot, "add", work_center_id=0, **typed)
    assert answer.status_code == 422
    assert "Choose the work center that does it." in answer.text
    assert 'value="Polish twice"' in answer.text
    assert titles(lot) == ["10 Step 1", "20 Step 2", "30 Step 3"]


def test_operators_change_no_lot(as_operator, session, lot):
    assert as_operator.get(f"/lots/{lot.id}/changes").status_code == 403
    assert change(as_operator, session, lot, "skip", operation_id=lot.operations[1].id).status_code == 403


def test_a_print_from_before_a_change_is_stale_and_its_code_says_what_changed(as_owner, session, lot):
    as_owner.post(f"/lots/{lot.id}/prints", data={"key": "print-1"})
    assert "issue=1" in as_owner.get(f"/lots/{lot.id}/traveler").text
    change(as_owner, session, lot, "skip", operation_id=lot.operations[1].id)
    page = words(as_owner.get(f"/lots/{lot.id}").text)
    assert "the lot was changed since: op 20 Step 2 skipped. Print it again." in page
    held = words(as_owner.get(f"/c/{lot_name(lot)}?issue=1", follow_redirects=True).text)
    assert "Your print is issue 1, and the lot was changed since: op 20 Step 2 skipped. Take a new print." in held
    first = words(as_owner.get(f"/c/{operation_code(lot.operations[0])}?issue=1").text)
    assert "The print is older than the lot: op 20 Step 2 skipped." in first
    as_owner.post(f"/lots/{lot.id}/prints", data={"key": "print-2"})
    session.rollback()
    assert session.scalars(sa.select(TravelerPrint.issue).order_by(TravelerPrint.id)).all() == [1, 2]
    traveler = as_owner.get(f"/lots/{lot.id}/traveler").text
    assert "issue=2" in traveler
    assert "Skipped: do not do it." in traveler
    assert "was changed since" not in as_owner.get(f"/lots/{lot.id}").text
    assert "was changed since" not in as_owner.get(f"/lots/{lot.id}?issue=2").text
    assert "older than the lot" not in as_owner.get(f"/c/{operation_code(lot.operations[0])}?issue=2").text
