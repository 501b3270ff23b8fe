"""The people of each shift: who limits the plan."""

from datetime import time

import pytest
import sqlalchemy as sa

from app.stations.errors import CrewNotFoundError, NobodyToMoveError
from app.stations.models import Crew
from app.stations.services import move_person
from tests.factories.stations import ShopFactory

DAY = {"name": "Day", "weekdays": ["0", "1"], "starts": "06:00", "ends": "14:30", "setters": "2", "tenders": "3"}


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def test_a_shift_is_added_changed_and_taken_away(as_setup_lead, session):
    assert as_setup_lead.post("/shop/crews", data=DAY).location == "/shop/crews"
    session.rollback()
    crew = session.scalars(sa.select(Crew)).one()
    assert (crew.weekdays, crew.setters, crew.tenders) == ([0, 1], 2, 3)
    assert "3 load and tend" in as_setup_lead.get("/shop/crews").text
    assert 'value="Day"' in as_setup_lead.get(f"/shop/crews?change={crew.id}").text
    as_setup_lead.post(f"/shop/crews/{crew.id}", data={**DAY, "name": "Early", "setters": "1"})
    session.rollback()
    session.refresh(crew)
    assert (crew.name, crew.setters) == ("Early", 1)
    as_setup_lead.post("/shop/crews", data=DAY)
    taken = as_setup_lead.post(f"/shop/crews/{crew.id}", data=DAY)
    assert (taken.status_code, "There is already a shift called Day." in taken.text) == (422, True)
    session.rollback()
    gone = crew.id
    for crew_id in session.scalars(sa.select(Crew.id)).all():
        as_setup_lead.post(f"/shop/crews/{crew_id}/remove")
    assert as_setup_lead.post(f"/shop/crews/{gone}", data=DAY).status_code == 404
    session.rollback()
    assert session.scalars(sa.select(Crew)).all() == []


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"name": ""}, "Enter a name, such as Day shift."),
        ({"name": "day"}, "There is already a shift called Day."),
        ({"weekdays": []}, "Tick at least one day."),
        ({"starts": "25:00"}, "Enter a time of day from 00:00 to 23:59, such as 06:30."),
        ({"setters": ""}, "Enter how many, 0 if none."),
        ({"tenders": "1000"}, "It must be 999 or less."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field(as_owner, session, wrong, sentence):
    as_owner.post("/shop/crews", data=DAY)
    response = as_owner.post("/shop/crews", data={**DAY, "name": "Night", **wrong})
    assert (response.status_code, sentence in response.text) == (422, True)
    session.rollback()
    assert len(session.scalars(sa.select(Crew)).all()) == 1


def test_nobody_is_moved_who_is_not_there(session):
    session.add(Crew(name="Day", weekdays=[0], starts=time(6), ends=time(14), setters=1, tenders=0))
    session.commit()
    with pytest.raises(NobodyToMoveError, match="The shift Day has nobody left"):
        move_person(session, "Day", 1)
    with pytest.raises(CrewNotFoundError):
        move_person(session, "Day", 1, "Night")


def test_operators_see_the_shifts_and_cannot_change_them(as_operator):
    assert as_operator.get("/shop/crews").status_code == 200
    assert as_operator.post("/shop/crews", data=DAY).status_code == 403
