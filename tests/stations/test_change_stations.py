"""Work centers and stations: adding, changing, taking out of use."""

import pytest
import sqlalchemy as sa

from app.core.shop import OverClosed
from app.stations import queries
from app.stations.errors import StationNotFoundError
from app.stations.models import Station, WorkCenter
from tests.factories.stations import ShopFactory, StationFactory, WorkCenterFactory
from tests.statements import counted

WORKS = {"pace": "100", "over_closed": "pause"}


def stored(session, name):
    session.rollback()
    return session.scalars(sa.select(Station).where(Station.name == name)).one_or_none()


def test_a_station_is_added_to_a_new_work_center_and_its_hours_are_asked_for(as_setup_lead, session):
    typed = {
        "name": "Mill 1",
        "work_center": "",
        "new_work_center": "Milling",
        "pallets": "2",
        **WORKS,
        "hours_from": "",
    }
    response = as_setup_lead.post("/stations", data=typed)
    mill = stored(session, "Mill 1")
    assert (response.status_code, response.location) == (303, f"/stations/{mill.id}/hours")
    assert (mill.work_center.name, mill.pallets, mill.number) == ("Milling", 2, 1)


def test_a_station_takes_over_the_hours_of_another(as_setup_lead, session):
    first = StationFactory()
    typed = {"name": "Mill 2", "work_center": first.work_center_id, "pallets": "1", **WORKS, "hours_from": first.id}
    response = as_setup_lead.post("/stations", data=typed)
    mill = stored(session, "Mill 2")
    assert response.location == f"/stations/{mill.id}"
    assert [(each.weekday, each.starts) for each in mill.shifts] == [(day, first.shifts[0].starts) for day in range(5)]
    assert mill.work_center_id == first.work_center_id


def test_codes_are_given_in_order_and_numbers_with_a_star_are_skipped(as_owner, session):
    """387 is followed by 389: the check character of S388 would be a star (ISO 7064 MOD 37-2)."""
    center = StationFactory(number=386).work_center
    for name in ("Mill 1", "Mill 2"):
        data = {"name": name, "work_center": center.id, "pallets": "1", **WORKS}
        assert as_owner.post("/stations", data=data).status_code == 303
    assert [stored(session, name).number for name in ("Mill 1", "Mill 2")] == [387, 389]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"name": ""}, "Enter the station's name, such as Mill 2."),
        ({"name": "x" * 61}, "Use 60 characters or fewer."),
        ({"name": "mill 9"}, "There is already a station called Mill 9."),
        ({"name": "Old Saw"}, "Old Saw is a station out of use. Put it to use again instead."),
        ({"new_work_center": ""}, "Choose a work center above, or type the name of a new one here."),
        ({"new_work_center": "milling"}, "There is already a work center called milling."),
        ({"work_center": "12345"}, "Not a valid choice."),
        ({"pallets": "0"}, "It must be 1 or more."),
        ({"pallets": "25"}, "It must be 24 or less."),
        ({"pace": "0"}, "It must be 10 or more."),
        ({"over_closed": "unattended"}, "Enter below how many minutes it goes on alone, such as 240."),
        ({"pallets": "two"}, "Type a whole number, such as 12; “two” is not one."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field_and_nothing_is_stored(as_owner, session, wrong, message):
    StationFactory(name="Mill 9", work_center=WorkCenterFactory(name="Milling"))
    StationFactory(name="Old Saw", active=False)
    before = session.scalar(sa.select(sa.func.count(Station.id)))
    typed = {
        "name": "Mill 1",
        "work_center": "",
        "new_work_center": "Turning",
        "pallets": "1",
        **WORKS,
        "hours_from": "",
    }
    response = as_owner.post("/stations", data={**typed, **wrong})
    assert response.status_code == 422
    assert message in response.text.replace("&#39;", "'")
    session.rollback()
    assert session.scalar(sa.select(sa.func.count(Station.id))) == before
    assert session.scalars(sa.select(WorkCenter).where(WorkCenter.name == "Turning")).all() == []


def test_a_station_is_changed_and_keeps_its_code(as_setup_lead, session):
    mill = StationFactory(name="Mill 1", number=5)
    other = WorkCenterFactory()
    alone = {"over_closed": "unattended", "unattended_minutes": "240", "pace": "125", "pallet_change_seconds": "20"}
    data = {"name": "Mill A", "work_center": other.id, "pallets": "3", **alone}
    assert as_setup_lead.post(f"/stations/{mill.id}", data=data).location == f"/stations/{mill.id}"
    changed = stored(session, "Mill A")
    assert (changed.work_center_id, changed.pallets, changed.number) == (other.id, 3, 5)
    ways = (changed.over_closed, changed.unattended_minutes, changed.pace, changed.pallet_change_seconds)
    assert ways == (OverClosed.UNATTENDED, 240, 125, 20)


def test_a_name_that_is_taken_is_refused_in_a_change_too(as_owner, session):
    mill = StationFactory(name="Mill 1")
    StationFactory(name="Mill 2")
    data = {"name": "Mill 2", "work_center": mill.work_center_id, "pallets": "1", **WORKS}
    response = as_owner.post(f"/stations/{mill.id}", data=data)
    assert response.status_code == 422
    assert "There is already a station called Mill 2." in response.text
    assert stored(session, "Mill 1") is not None


def test_a_station_out_of_use_is_not_planned_and_can_come_back(as_owner, session, now):
    mill = StationFactory(name="Mill 1")
    as_owner.post(f"/stations/{mill.id}/deactivate")
    session.rollback()
    assert queries.all_stations(session, now) == queries.stations_in(session, mill.work_center_id) == []
    with pytest.raises(StationNotFoundError):
        queries.station_by_number(session, mill.number)
    assert "Out of use" in as_owner.get("/stations").text
    as_owner.post(f"/stations/{mill.id}/activate")
    session.rollback()
    assert queries.station_by_number(session, mill.number).id == mill.id


def test_a_work_center_is_added_and_renamed(as_setup_lead, session):
    as_setup_lead.post("/work-centers", data={"name": "  Deburring "})
    session.rollback()
    center = session.scalars(sa.select(WorkCenter)).one()
    assert center.name == "Deburring"
    as_setup_lead.post(f"/work-centers/{center.id}", data={"name": "Finishing"})
    session.rollback()
    assert session.scalars(sa.select(WorkCenter.name)).all() == ["Finishing"]


def test_a_work_center_without_a_name_or_with_anothers_is_refused(as_owner, session):
    milling, turning = WorkCenterFactory(name="Milling"), WorkCenterFactory(name="Turning")
    for path in ("/work-centers", f"/work-centers/{turning.id}"):
        assert "Enter a name, such as Milling." in as_owner.post(path, data={"name": " "}).text
        taken = as_owner.post(path, data={"name": "milling"})
        assert taken.status_code == 422
        assert "There is already a work center called milling." in taken.text
    session.rollback()
    assert session.scalars(sa.select(WorkCenter.name).order_by(WorkCenter.id)).all() == ["Milling", "Turning"]
    assert as_owner.post(f"/work-centers/{milling.id}", data={"name": "MILLING"}).status_code == 303


CHANGES = [
    "/work-centers",
    "/work-centers/1",
    "/stations",
    "/stations/1",
    "/stations/1/deactivate",
    "/stations/1/activate",
    "/stations/1/hours",
    "/stations/1/hours/copy",
    "/stations/1/downtimes",
    "/stations/1/downtimes/1",
    "/stations/1/downtimes/1/remove",
    "/stations/1/overtimes",
    "/stations/1/overtimes/1",
    "/stations/1/overtimes/1/remove",
    "/closures",
    "/closures/holidays",
    "/closures/1/remove",
]
FORMS = ["/stations/new", "/stations/1/edit", "/stations/1/hours", "/stations/1/downtimes/new", "/work-centers/new"]


@pytest.mark.parametrize("who", ["as_operator", "as_inspector"])
def test_operators_and_inspectors_only_look(request, session, who):
    ShopFactory()
    station = StationFactory()
    browser = request.getfixturevalue(who)
    for path in ("/stations", f"/stations/{station.id}", "/closures", "/shop"):
        page = browser.get(path)
        assert page.status_code == 200
        assert 'method="post"' not in page.text.replace('action="/sign-out" method="post"', "")
    assert [browser.post(path).status_code for path in CHANGES] == [403] * len(CHANGES)
    assert [browser.get(path).status_code for path in FORMS] == [403] * len(FORMS)


@pytest.mark.parametrize("path", ["/stations/9", "/stations/9/edit", "/stations/9/hours", "/work-centers/9/edit"])
def test_nothing_is_at_an_unknown_address(as_owner, path):
    ShopFactory()
    answer = as_owner.get(path)
    assert answer.status_code == 404
    assert "There is no such" in answer.text


def test_an_empty_list_says_what_to_do_first(as_owner, as_operator):
    ShopFactory()
    assert "Add your machines and benches first" in as_owner.get("/stations").text
    assert "An owner or setup lead adds them." in as_operator.get("/stations").text


def test_the_list_takes_the_same_statements_for_one_station_and_for_forty(engine, as_owner):
    ShopFactory()
    StationFactory()
    with counted(engine) as few:
        as_owner.get("/stations")
    StationFactory.create_batch(39)
    with counted(engine) as many:
        as_owner.get("/stations")
    assert len(many) == len(few) <= 6  # shop, who is signed in, downtimes, work centers, stations, shifts


def test_station_codes_are_printed_for_stations_in_use(as_setup_lead):
    ShopFactory()
    mill = StationFactory(name="Mill 1")
    StationFactory(name="Old Saw", active=False)
    page = as_setup_lead.get("/stations/codes").text
    assert page.count("cut-card__codes") == 1
    assert mill.code in page
    assert "Old Saw" not in page
