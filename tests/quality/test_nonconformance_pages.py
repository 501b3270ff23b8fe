"""The pages on which an inspector decides about suspect pieces."""

import pytest
import sqlalchemy as sa

from app.lots.services import count_so_far
from app.quality.models import Disposition, Nonconformance
from tests.quality.measured import AtStation, measured_lot


@pytest.fixture
def found(session) -> Nonconformance:
    station = AtStation(session, measured_lot(session)).begin()
    count_so_far(session, station.act(), station.operation.id, 3)
    station.read("0.5012", piece=3)
    return session.scalars(sa.select(Nonconformance)).one()


def decision(found, **typed):
    usual = {"key": "decision-1", "left": "3", "outcome": "scrap", "pieces": "3", "reason": "chipped", "cost": "90"}
    return usual | {"at_operation_id": found.found_at_id} | typed


def test_an_inspector_decides_and_the_list_says_so(as_inspector, session, found):
    assert "3 of 3 left" in as_inspector.get("/nonconformances").text
    page = as_inspector.get(f"/nonconformances/{found.id}").text
    assert "pieces 1 to 3" in page
    assert "Stop. Call the setup lead." in page
    answer = as_inspector.post(f"/nonconformances/{found.id}/dispositions", data=decision(found))
    assert answer.status_code == 303
    assert "cost 90.00" in as_inspector.get(answer.location).text
    assert "Nothing is open" in as_inspector.get("/nonconformances").text
    assert "N1" in as_inspector.get("/nonconformances?decided").text


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"left": "2"}, "has decided about some of these pieces meanwhile: 3 are left"),
        ({"pieces": "4"}, "type 1 to 3"),
        ({"cost": ""}, "Type what the scrap costs"),
        ({"cost": "much"}, "Type a number"),
        ({"reason": ""}, "Say why"),
        ({"outcome": "use as is"}, "who at the customer agreed"),
        ({"outcome": "back to vendor"}, "Choose the vendor"),
        ({"outcome": "rework"}, "Choose the operation at which"),
        ({"outcome": "melt"}, "Not a valid choice"),
    ],
)
def test_what_is_left_out_is_asked_for_beside_its_field(as_inspector, session, found, typed, sentence):
    answer = as_inspector.post(f"/nonconformances/{found.id}/dispositions", data=decision(found, **typed))
    assert answer.status_code == 422
    assert sentence in answer.text
    assert session.scalars(sa.select(Disposition)).all() == []


def test_others_see_it_and_decide_nothing(as_operator, as_setup_lead, found):
    assert "An inspector or owner decides" in as_operator.get(f"/nonconformances/{found.id}").text
    for client in (as_operator, as_setup_lead):
        assert client.post(f"/nonconformances/{found.id}/dispositions", data=decision(found)).status_code == 403
